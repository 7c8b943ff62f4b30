#include "bait/read.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Left out where the body is thin and turns away: at the outline, as a share of the height, and at its ends, of
 * the stations. */
#define EDGE_SHARE 0.12
#define END_SHARE 0.08
/* So near to the outline comes the band of an outer layer whose blend leaves no room else. */
#define EDGE_LEAST 0.06
/* A band reaches so far from a blend's middle, in halves of it: the smooth step leaves 3% of the neighbor there. */
#define BLEND_OUT 0.8
/* A band is at least this share of its layer. */
#define BAND_LEAST 0.4
/* 10% to 90% of the smooth step between 0 and 1. */
#define STEP_10_90 0.608
/* 10% to 90% of a normal distribution, in its deviations. */
#define NORMAL_10_90 2.563
/* A larger band is thinned to about so many pixels: of half as many the colors came out .01 to .04 farther off. */
enum { BAND_PIXELS = 6000, TIPS_LEAST = 60 };

/* ---- a part of the photo as a patch of its own -----------------------------------------------------------
 */

typedef struct part {
  dw_patch patch;
  uint8_t *mask;
  int x0, y0, every; /* first pixel in the whole patch, and the step in it */
} part;

/* What is in the mask, from the first to the last of each row: a slanted band fills little of the rectangle around it. */
static void part_fill(const dw_patch *whole, part *p) {
  const int w = p->patch.rect.w;
  for (int y = 0; y < p->patch.rect.h; y++) {
    const uint8_t *mask = p->mask + (size_t)y * (size_t)w;
    int first = 0, end = w;
    while (first < end && !mask[first]) first++;
    while (first < end && !mask[end - 1]) end--;
    size_t to = (size_t)y * (size_t)w + (size_t)first,
           from = (size_t)(p->y0 + y * p->every) * (size_t)whole->rect.w + (size_t)(p->x0 + first * p->every);
    for (int x = first; x < end; x++, to++, from += (size_t)p->every)
      p->patch.clip[to] = dw_patch_pixel(whole, from, p->patch.rgb + 3 * to);
  }
}

/* Its mask is empty and its pixels are not there yet. */
static bool part_new(const dw_patch *whole, double x0, double y0, double x1, double y1, double pixels,
                     part *out) {
  int step = dw_patch_step(whole);
  *out = (part){.every = 1};
  while (pixels > BAND_PIXELS * (double)out->every * out->every) out->every++;
  out->x0 = (int)fmax(floor(x0), 0), out->y0 = (int)fmax(floor(y0), 0);
  int right = (int)fmin(ceil(x1) + 1, whole->rect.w), below = (int)fmin(ceil(y1) + 1, whole->rect.h);
  int w = (right - out->x0 + out->every - 1) / out->every,
      h = (below - out->y0 + out->every - 1) / out->every;
  if (w < 1 || h < 1) return false;
  out->patch = (dw_patch){.rect = {whole->rect.x + step * out->x0, whole->rect.y + step * out->y0, w, h},
                          .step = step * out->every};
  size_t n = (size_t)w * (size_t)h;
  out->patch.rgb = malloc(3 * n * sizeof(float));
  out->patch.clip = malloc(n);
  out->mask = calloc(n, 1);
  return out->patch.rgb && out->patch.clip && out->mask;
}

static void part_free(part *p) {
  free(p->patch.rgb);
  free(p->patch.clip);
  free(p->mask);
}

/* ---- bands -----------------------------------------------------------------------------------------------
 */

/* Between which shares of the height a layer is read. */
static void band_of(const dw__layers *layers, size_t l, double out[2]) {
  double top = l ? layers->border[l - 1] : 0, bottom = l + 1 < layers->n ? layers->border[l] : 1;
  out[0] = l ? top + BLEND_OUT * layers->half[l - 1] : EDGE_SHARE;
  out[1] = l + 1 < layers->n ? bottom - BLEND_OUT * layers->half[l] : 1 - EDGE_SHARE;
  double least = BAND_LEAST * (bottom - top);
  if (l == 0) out[0] = fmin(fmax(out[1] - least, EDGE_LEAST), EDGE_SHARE);
  if (l + 1 == layers->n) out[1] = fmax(fmin(out[0] + least, 1 - EDGE_LEAST), 1 - EDGE_SHARE);
  double middle = fmin(fmax((out[0] + out[1]) / 2, top + least / 2), bottom - least / 2);
  if (out[1] - out[0] >= least) return;
  out[0] = middle - least / 2;
  out[1] = middle + least / 2;
}

/* The band's outline in view pixels: out along one side, back along the other. */
static void band_shape(const dw__axis *axis, const dw__layers *layers, size_t l, dw_shape *out) {
  double band[2];
  size_t half = DW_BAIT_STATIONS, span = axis->last - axis->first;
  band_of(layers, l, band);
  *out = (dw_shape){.kind = DW_SHAPE_POLY, .n = 2 * half};
  for (size_t i = 0; i < half; i++) {
    double share = END_SHARE + (1 - 2 * END_SHARE) * (double)i / (double)(half - 1);
    const dw__station *s = &axis->at[axis->first + (size_t)lround(share * (double)span)];
    double shift[2] = {l ? dw__offset_at(layers->offset, l - 1, share) : 0,
                       l + 1 < layers->n ? dw__offset_at(layers->offset, l, share) : 0};
    for (size_t side = 0; side < 2; side++) {
      double off = -s->back + (s->back + s->belly) * (band[side] + shift[side]);
      size_t at = side ? 2 * half - 1 - i : i;
      out->xy[2 * at] = s->x + off * s->nx;
      out->xy[2 * at + 1] = s->y + off * s->ny;
    }
  }
}

/* shape  in the photo */
static dw_status band_measure(const dw_patch *photo, const dw_shape *shape, const dw_light *light,
                              dw_reading *out, dw_error *err) {
  dw_shape in = *shape;
  double x0 = INFINITY, y0 = INFINITY, x1 = -INFINITY, y1 = -INFINITY, area = 0;
  for (size_t i = 0; i < in.n; i++) {
    double *p = &in.xy[2 * i];
    dw_photo_in_patch(photo, p[0], p[1], &p[0], &p[1]);
    x0 = fmin(x0, p[0]), x1 = fmax(x1, p[0]), y0 = fmin(y0, p[1]), y1 = fmax(y1, p[1]);
  }
  for (size_t i = 0, j = in.n - 1; i < in.n; j = i++)
    area += (in.xy[2 * j] * in.xy[2 * i + 1] - in.xy[2 * i] * in.xy[2 * j + 1]) / 2;
  part p;
  dw_status status = DW_NO_MEMORY;
  if (part_new(photo, x0, y0, x1, y1, fabs(area), &p)) {
    for (size_t i = 0; i < 2 * in.n; i++) in.xy[i] = (in.xy[i] - (i % 2 ? p.y0 : p.x0)) / p.every;
    dw_shape_mask(&in, &(dw_rect){0, 0, p.patch.rect.w, p.patch.rect.h}, p.mask);
    part_fill(photo, &p);
    status = dw_region_measure(&p.patch, p.mask, light, out, NULL, err);
  } else {
    status = dw_fail_memory(err, "a layer's pixels");
  }
  part_free(&p);
  return status;
}

static void shape_to_photo(const dw__view *view, dw_shape *shape) {
  for (size_t i = 0; i < shape->n; i++)
    dw__view_in_photo(view, shape->xy[2 * i], shape->xy[2 * i + 1], &shape->xy[2 * i], &shape->xy[2 * i + 1]);
}

/* ---- head to tail ----------------------------------------------------------------------------------------
 */

/* Median color of a layer over some stations. */
static dw_lab layer_at(const dw__strip *strip, const double band[2], size_t from, size_t to) {
  enum { SAMPLE = 512 };
  double v[3][SAMPLE];
  size_t n = 0, j0 = (size_t)(band[0] * DW_BAIT_PROFILE), j1 = (size_t)ceil(band[1] * DW_BAIT_PROFILE);
  size_t step = 1 + (to - from) * (j1 - j0) / SAMPLE, seen = 0;
  for (size_t i = from; i < to; i++)
    for (size_t j = j0; j < j1 && j < DW_BAIT_PROFILE; j++) {
      if (seen++ % step || n == SAMPLE) continue;
      for (size_t k = 0; k < 3; k++) v[k][n] = (double)strip->lab[i][j][k];
      n++;
    }
  return (dw_lab){dw_median(v[0], n), dw_median(v[1], n), dw_median(v[2], n)};
}

static void board_compare(const dw__strip *strip, dw_bait_layer *layer) {
  const dw_lab board = {strip->board[0], strip->board[1], strip->board[2]};
  layer->board_de00 = dw_de00(layer->reading.lab, board);
  if (layer->board_de00 < DW_BAIT_BOARD_APART)
    dw_note(&layer->reading.notes, "The board's color is only %.1f away from this.", layer->board_de00);
}

static double drift_of(const dw__strip *strip, const dw__layers *layers, size_t l) {
  double band[2];
  band_of(layers, l, band);
  return dw_de00(layer_at(strip, band, 0, strip->n / 3),
                 layer_at(strip, band, strip->n - strip->n / 3, strip->n));
}

static void blend_fill(const dw__strip *strip, const dw__layers *layers, size_t k, dw_bait_blend *out) {
  double sum = 0, wide = 2 * layers->half[k] * STEP_10_90;
  for (size_t w = 0; w < DW__WINDOWS; w++) sum += layers->offset[w][k] * layers->offset[w][k];
  out->at = layers->border[k];
  out->sway = sqrt(sum / (DW__WINDOWS - 1));
  /* A straightened strip is no longer blurred by it. */
  double swayed = strip->straight ? 0 : NORMAL_10_90 * out->sway;
  out->width_share = sqrt(fmax(wide * wide - swayed * swayed, .04 * wide * wide));
  const double *c = strip->profile[(size_t)fmin(out->at * DW_BAIT_PROFILE, DW_BAIT_PROFILE - 1)];
  out->lab = (dw_lab){c[0], c[1], c[2]};
}

/* ---- tips ------------------------------------------------------------------------------------------------
 */

/* Claws, legs and tails: all of the bait outside of its body, without the rim. */
static dw_status tips_measure(const dw__view *view, const dw_patch *photo, const dw__things *things,
                              const dw__thing *t, const dw_light *light, dw_bait *out, dw_error *err) {
  int x0 = view->w, y0 = view->h, x1 = 0, y1 = 0, step = dw_patch_step(photo);
  size_t n = 0;
  for (int y = t->y0; y <= t->y1; y++)
    for (int x = t->x0; x <= t->x1; x++) {
      size_t i = (size_t)(y * view->w + x);
      uint16_t label = things->label[i];
      if (!label || label == t->body || things->owner[label] != t->body || things->depth[i] < 1.7f) continue;
      x0 = x < x0 ? x : x0, x1 = x > x1 ? x : x1, y0 = y < y0 ? y : y0, y1 = y > y1 ? y : y1;
      n++;
    }
  if (n < TIPS_LEAST) return DW_OK;
  part p;
  dw_status status = DW_OK;
  double from[2], to[2], scale = view->unit / step;
  dw__view_in_photo(view, x0 - .5, y0 - .5, &from[0], &from[1]);
  dw__view_in_photo(view, x1 + .5, y1 + .5, &to[0], &to[1]);
  dw_photo_in_patch(photo, from[0], from[1], &from[0], &from[1]);
  dw_photo_in_patch(photo, to[0], to[1], &to[0], &to[1]);
  if (!part_new(photo, from[0], from[1], to[0], to[1], (double)n * scale * scale, &p)) {
    part_free(&p);
    return dw_fail_memory(err, "a bait's tips");
  }
  for (int y = 0; y < p.patch.rect.h; y++)
    for (int x = 0; x < p.patch.rect.w; x++) {
      double place[2];
      dw_patch_in_photo(photo, p.x0 + x * p.every, p.y0 + y * p.every, &place[0], &place[1]);
      dw__photo_in_view(view, place[0], place[1], &place[0], &place[1]);
      int vx = (int)lround(place[0]), vy = (int)lround(place[1]);
      if (!dw__view_holds(view, vx, vy)) continue;
      size_t i = (size_t)(vy * view->w + vx);
      uint16_t label = things->label[i];
      bool tip = label && label != t->body && things->owner[label] == t->body && things->depth[i] >= 1.7f;
      p.mask[(size_t)y * (size_t)p.patch.rect.w + (size_t)x] = tip;
    }
  part_fill(photo, &p);
  status = dw_region_measure(&p.patch, p.mask, light, &out->tips, NULL, NULL);
  out->has_tips = status == DW_OK;
  part_free(&p);
  return status == DW_NO_MEMORY ? dw_fail_memory(err, "a bait's tips") : DW_OK;
}

/* ---- all of it -------------------------------------------------------------------------------------------
 */

static void places_fill(const dw__view *view, const dw__thing *t, const dw__axis *axis, dw_bait *out) {
  out->box = dw__thing_box(view, t, 0);
  out->length = axis->length * view->unit;
  out->height = axis->height * view->unit;
  out->bend_deg = axis->bend * 57.29577951308232;
  out->first = axis->first / 2, out->last = axis->last / 2;
  for (size_t i = 0; i < DW_BAIT_STATIONS; i++) {
    const dw__station *s = &axis->at[2 * i];
    dw_bait_station *to = &out->station[i];
    dw__view_in_photo(view, s->x, s->y, &to->x, &to->y);
    dw__view_in_photo(view, s->x - s->back * s->nx, s->y - s->back * s->ny, &to->back_x, &to->back_y);
    dw__view_in_photo(view, s->x + s->belly * s->nx, s->y + s->belly * s->ny, &to->belly_x, &to->belly_y);
  }
  const dw_bait_station *a = &out->station[0], *b = &out->station[DW_BAIT_STATIONS - 1];
  out->angle_deg = atan2(b->y - a->y, b->x - a->x) * 57.29577951308232;
}

dw_status dw__bait_read(const dw__view *view, const dw_patch *photo, const dw__things *things,
                        const dw__thing *thing, const dw__axis *axis, const dw__strip *strip,
                        const dw__layers *layers, const dw_light *light, dw_bait *out, dw_error *err) {
  dw_status status = DW_OK;
  *out = (dw_bait){.n = layers->n};
  places_fill(view, thing, axis, out);
  for (size_t l = 0; l < layers->n && status == DW_OK; l++) {
    dw_bait_layer *to = &out->layer[l];
    double top = l ? layers->border[l - 1] : 0, bottom = l + 1 < layers->n ? layers->border[l] : 1;
    to->share = bottom - top;
    to->drift_de00 = drift_of(strip, layers, l);
    band_shape(axis, layers, l, &to->band);
    shape_to_photo(view, &to->band);
    status = band_measure(photo, &to->band, light, &to->reading, err);
    if (status == DW_OK) board_compare(strip, to);
  }
  if (status != DW_OK) return status;
  for (size_t k = 0; k + 1 < layers->n; k++) blend_fill(strip, layers, k, &out->blend[k]);
  for (size_t j = 0; j < DW_BAIT_PROFILE; j++)
    out->profile[j] = (dw_lab){strip->profile[j][0], strip->profile[j][1], strip->profile[j][2]};
  if (thing->touches)
    dw_note(&out->notes, "This bait touches another or hangs on it; they were cut apart at the neck.");
  if (thing->edge)
    dw_note(&out->notes, "This bait reaches over the photo's edge; what is in the photo was read.");
  return tips_measure(view, photo, things, thing, light, out, err);
}

static void swap(void *a, void *b, size_t size) {
  uint8_t *p = a, *q = b;
  for (size_t i = 0; i < size; i++) {
    uint8_t keep = p[i];
    p[i] = q[i];
    q[i] = keep;
  }
}

void dw__bait_turn(dw_bait *bait) {
  size_t n = bait->n;
  for (size_t i = 0; i < n / 2; i++) swap(&bait->layer[i], &bait->layer[n - 1 - i], sizeof bait->layer[i]);
  for (size_t i = 0; i < (n - 1) / 2; i++)
    swap(&bait->blend[i], &bait->blend[n - 2 - i], sizeof bait->blend[i]);
  for (size_t i = 0; i + 1 < n; i++) bait->blend[i].at = 1 - bait->blend[i].at;
  for (size_t j = 0; j < DW_BAIT_PROFILE / 2; j++)
    swap(&bait->profile[j], &bait->profile[DW_BAIT_PROFILE - 1 - j], sizeof bait->profile[j]);
  for (size_t i = 0; i < DW_BAIT_STATIONS; i++) {
    dw_bait_station *s = &bait->station[i];
    swap(&s->back_x, &s->belly_x, sizeof s->back_x);
    swap(&s->back_y, &s->belly_y, sizeof s->back_y);
  }
}
