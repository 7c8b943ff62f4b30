#include "bait/likeness.h"

#include "dropwise/numeric.h"

#include <math.h>

/* What a bait has at least, or at most. HEIGHT in pixels of the view; CONTRAST as docs/bait.md promises. */
#define HEIGHT_LEAST 8
#define SLENDER_LEAST 1.4
#define FILLED_LEAST 0.95
#define EXPLAINED_LEAST 0.62
#define ROUGH_MOST 0.04
/* And of the pixels' own grid and noise, in pixels: much of a slim bait's height. */
#define ROUGH_PIXELS 0.5
#define CONTRAST_LEAST 7.0
/* The same where nearly all of the outline is a step: a layer of about the board's color that thins out there. */
#define CONTRAST_CLEAR 5.0
#define SHARP_CLEAR 0.9
#define SHARP_LEAST 0.5
#define LIMBS_MOST 1.2

enum { SIDES = 2, RIM_SAMPLES = SIDES * DW__AXIS_STATIONS };
/* The ends of the axis are left out: what hangs there, and where it turns. */
enum { END = DW__AXIS_STATIONS / 12 };

/* Whether a place lies before the axis begins or after it ends. */
static bool beyond(const dw__axis *axis, double x, double y) {
  for (int end = 0; end < 2; end++) {
    const dw__station *s = &axis->at[end ? DW__AXIS_STATIONS - 1 : 0],
                      *in = &axis->at[end ? DW__AXIS_STATIONS - 1 - END : END];
    double dx = x - s->x, dy = y - s->y;
    if (dx * (s->x - in->x) + dy * (s->y - in->y) > 0 && hypot(dx, dy) < axis->height) return true;
  }
  return false;
}

/* How much of the shape between the outlines is the thing, and how much of the thing's body is in it. */
static void fill_measure(const dw__view *view, const dw__things *things, const dw__thing *t,
                         const dw__axis *axis, const uint8_t *mask, const dw_rect *rect, dw__likeness *out) {
  double in = 0, shape = 0, body = 0, both = 0;
  for (int y = 0; y < rect->h; y++)
    for (int x = 0; x < rect->w; x++) {
      uint16_t label = things->label[(size_t)(rect->y + y) * (size_t)view->w + (size_t)(rect->x + x)];
      bool inside = mask[(size_t)y * (size_t)rect->w + (size_t)x];
      shape += inside;
      in += inside && label && things->owner[label] == t->body;
      if (label != t->body || beyond(axis, rect->x + x, rect->y + y)) continue;
      body++;
      both += inside;
    }
  out->filled = shape > 0 ? in / shape : 0;
  out->explained = body > 0 ? both / body : 0;
}

static double far_of(const dw__view *view, size_t i) {
  float b[3];
  dw__view_board(view, (int)(i % (size_t)view->w), (int)(i / (size_t)view->w), b);
  dw_lab is = {(double)view->lab[0][i], (double)view->lab[1][i], (double)view->lab[2][i]};
  return dw_de00(is, (dw_lab){(double)b[0], (double)b[1], (double)b[2]});
}

static bool pixel_at(const dw__view *view, const dw__station *s, double off, size_t *out) {
  int x = (int)lround(s->x + off * s->nx), y = (int)lround(s->y + off * s->ny);
  if (x < 0 || y < 0 || x >= view->w || y >= view->h) return false;
  *out = (size_t)y * (size_t)view->w + (size_t)x;
  return true;
}

static void rim_measure(const dw__view *view, const dw__things *things, const dw__thing *thing,
                        const dw__axis *axis, dw__likeness *out) {
  double inside[RIM_SAMPLES];
  size_t n = 0, steps = 0, all = 0;
  for (size_t i = END; i + END < DW__AXIS_STATIONS; i++)
    for (int side = 0; side < SIDES; side++) {
      const dw__station *s = &axis->at[i];
      double sign = side ? 1 : -1, edge = side ? s->belly : s->back, in = fmin(3, .3 * (s->back + s->belly));
      size_t p, q;
      if (!pixel_at(view, s, sign * (edge - in), &p) || !pixel_at(view, s, sign * (edge + 3), &q)) continue;
      inside[n++] = far_of(view, p);
      if (things->label[q] && things->label[q] != thing->body) continue; /* a limb, or another bait */
      all++;
      steps += (double)(things->label[q] ? view->far[q] : 0) < .5 * (double)view->far[p];
    }
  out->sharp = all ? (double)steps / (double)all : 0;
  out->contrast = n ? dw_quantile(inside, n, .15) : 0;
}

static void outline_shape(const dw__axis *axis, dw_shape *out) {
  size_t n = DW__AXIS_STATIONS;
  *out = (dw_shape){.kind = DW_SHAPE_POLY, .n = 2 * n};
  for (size_t i = 0; i < n; i++) {
    const dw__station *s = &axis->at[i];
    size_t back = 2 * n - 1 - i;
    out->xy[2 * i] = s->x - s->back * s->nx, out->xy[2 * i + 1] = s->y - s->back * s->ny;
    out->xy[2 * back] = s->x + s->belly * s->nx, out->xy[2 * back + 1] = s->y + s->belly * s->ny;
  }
}

dw_status dw__likeness_measure(const dw__view *view, const dw__things *things, const dw__thing *thing,
                               const dw__axis *axis, dw__likeness *out, dw_error *err) {
  dw_shape shape;
  dw_rect rect = {thing->x0, thing->y0, thing->x1 - thing->x0 + 1, thing->y1 - thing->y0 + 1};
  uint8_t *mask = dw_arena_take(view->arena, (size_t)rect.w * (size_t)rect.h, 1);
  if (!mask) return dw_fail_memory(err, "a bait's outline");
  *out = (dw__likeness){.limbs = (double)thing->limbs / (double)thing->area,
                        .height = axis->height,
                        .slender = axis->length / axis->height,
                        .rough = axis->rough};
  outline_shape(axis, &shape);
  dw_shape_mask(&shape, &rect, mask);
  fill_measure(view, things, thing, axis, mask, &rect, out);
  rim_measure(view, things, thing, axis, out);
  return DW_OK;
}

static double contrast_least(const dw__likeness *like) {
  return like->sharp >= SHARP_CLEAR ? CONTRAST_CLEAR : CONTRAST_LEAST;
}

bool dw__likeness_enough(const dw__likeness *like) {
  return like->height >= HEIGHT_LEAST && like->slender >= SLENDER_LEAST && like->filled >= FILLED_LEAST &&
         like->explained >= EXPLAINED_LEAST &&
         like->rough * like->height <= ROUGH_MOST * like->height + ROUGH_PIXELS &&
         like->contrast >= contrast_least(like) && like->sharp >= SHARP_LEAST && like->limbs <= LIMBS_MOST;
}
