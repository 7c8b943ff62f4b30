#include "report/found_drawing.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/* Of a name, in units: half a letter's width, half its height with some air. */
#define NAME_HALF_LETTER 4.0
#define NAME_HALF_HEIGHT 7.0
enum { ELLIPSE_POINTS = 64 };

double dw__found_unit(const dw_photo_info *photo) {
  return fmax(photo->width, photo->height) / 800.0;
}

static void card_draw(const dw_photo_reading *reading, const dw__pen *pen) {
  for (size_t i = 0; reading->has_corners && i < reading->card.rows * reading->card.cols; i++) {
    double xy[8];
    if (dw_card_outline(&reading->card, &reading->corners, i, xy, NULL) != DW_OK) return;
    pen->line(pen->paper, DW__LINE_CARD, xy, 4, true);
  }
}

/* Its outline as points of xy, room for DW_SHAPE_POINTS_MAX; returns how many. */
static size_t shape_points(const dw_shape *shape, double *xy) {
  const double *v = shape->xy;
  if (shape->kind == DW_SHAPE_RECT) {
    const double corners[8] = {v[0], v[1], v[0] + v[2], v[1], v[0] + v[2], v[1] + v[3], v[0], v[1] + v[3]};
    memcpy(xy, corners, sizeof corners);
    return 4;
  }
  if (shape->kind == DW_SHAPE_POLY) {
    memcpy(xy, v, 2 * shape->n * sizeof *xy);
    return shape->n;
  }
  for (size_t i = 0; i < ELLIPSE_POINTS; i++) {
    double turn = 2 * acos(-1.0) * (double)i / ELLIPSE_POINTS;
    xy[2 * i] = v[0] + v[2] * cos(turn);
    xy[2 * i + 1] = v[1] + v[3] * sin(turn);
  }
  return ELLIPSE_POINTS;
}

/* The name above the shape. */
static void layer_draw(const dw_layer_reading *layer, double unit, const dw__pen *pen) {
  double xy[2 * DW_SHAPE_POINTS_MAX], left = INFINITY, right = -INFINITY, top = INFINITY;
  size_t n = shape_points(&layer->shape, xy);
  pen->line(pen->paper, DW__LINE_OUTLINE, xy, n, true);
  for (size_t i = 0; i < n; i++) {
    left = fmin(left, xy[2 * i]), right = fmax(right, xy[2 * i]);
    top = fmin(top, xy[2 * i + 1]);
  }
  pen->label(pen->paper, (left + right) / 2, top - unit * NAME_HALF_HEIGHT, layer->name, false);
}

void dw__reading_draw(const dw_photo_reading *reading, const dw__pen *pen) {
  card_draw(reading, pen);
  for (size_t i = 0; i < reading->n; i++)
    layer_draw(&reading->layer[i], dw__found_unit(&reading->photo), pen);
}

/* From the back's outline (0) to the belly's (1). */
static void place(const dw_bait_station *s, double across, double *x, double *y) {
  *x = s->back_x + across * (s->belly_x - s->back_x);
  *y = s->back_y + across * (s->belly_y - s->back_y);
}

static void outline_draw(const dw_bait *bait, const dw__pen *pen) {
  double xy[4 * DW_BAIT_STATIONS];
  for (size_t i = 0; i < DW_BAIT_STATIONS; i++) {
    size_t back = 2 * i, belly = 2 * (2 * DW_BAIT_STATIONS - 1 - i);
    place(&bait->station[i], 0, &xy[back], &xy[back + 1]);
    place(&bait->station[i], 1, &xy[belly], &xy[belly + 1]);
  }
  pen->line(pen->paper, DW__LINE_OUTLINE, xy, 2 * DW_BAIT_STATIONS, true);
}

static void axis_draw(const dw_bait *bait, const dw__pen *pen) {
  double xy[2 * DW_BAIT_STATIONS];
  for (size_t i = 0; i < DW_BAIT_STATIONS; i++)
    xy[2 * i] = bait->station[i].x, xy[2 * i + 1] = bait->station[i].y;
  pen->line(pen->paper, DW__LINE_AXIS, xy, DW_BAIT_STATIONS, false);
}

/* As far as layers were read. */
static void border_draw(const dw_bait *bait, double across, const dw__pen *pen) {
  double xy[2 * DW_BAIT_STATIONS];
  size_t n = bait->last - bait->first + 1;
  for (size_t i = 0; i < n; i++) place(&bait->station[bait->first + i], across, &xy[2 * i], &xy[2 * i + 1]);
  pen->line(pen->paper, DW__LINE_BORDER, xy, n, false);
}

/* Beside the outline, so that it covers no plastic.  side  -1 the back's, 1 the belly's */
static void name_beside(const dw_bait_station *s, int side, double unit, const char *name,
                        const dw__pen *pen) {
  double dx = side * (s->belly_x - s->back_x), dy = side * (s->belly_y - s->back_y), length = hypot(dx, dy);
  double x = side < 0 ? s->back_x : s->belly_x, y = side < 0 ? s->back_y : s->belly_y;
  if (!(length > 0)) return;
  double away =
      unit * ((double)strlen(name) * NAME_HALF_LETTER * fabs(dx) + NAME_HALF_HEIGHT * fabs(dy)) / length;
  pen->label(pen->paper, x + away * dx / length, y + away * dy / length, name, false);
}

/* Back and belly beside the body, what lies between them in it. */
static void names_draw(const dw_bait *bait, const dw_find_wish *wish, double unit, const dw__pen *pen) {
  const dw_bait_station *s = &bait->station[bait->first + (bait->last - bait->first) * 2 / 3];
  double from = bait->layer[0].share, x, y;
  if (bait->n < 2) return;
  name_beside(s, -1, unit, dw_find_layer_name(wish, 0, bait->n), pen);
  name_beside(s, 1, unit, dw_find_layer_name(wish, bait->n - 1, bait->n), pen);
  for (size_t i = 1; i + 1 < bait->n; i++) {
    place(s, from + bait->layer[i].share / 2, &x, &y);
    pen->label(pen->paper, x, y, dw_find_layer_name(wish, i, bait->n), false);
    from += bait->layer[i].share;
  }
}

static void bait_draw(const dw_bait *bait, const dw_find_wish *wish, size_t number, double unit,
                      const dw__pen *pen) {
  char text[24];
  outline_draw(bait, pen);
  axis_draw(bait, pen);
  for (size_t k = 0; k + 1 < bait->n; k++) border_draw(bait, bait->blend[k].at, pen);
  names_draw(bait, wish, unit, pen);
  snprintf(text, sizeof text, "%zu", number);
  const dw_bait_station *middle = &bait->station[(bait->first + bait->last) / 2];
  pen->label(pen->paper, middle->x, middle->y, text, true);
}

void dw__found_draw(const dw_found *found, const dw_find_wish *wish, const dw__pen *pen) {
  dw__reading_draw(&found->reading, pen);
  for (size_t i = 0; i < found->baits.n; i++)
    bait_draw(&found->baits.bait[i], wish, i + 1, dw__found_unit(&found->reading.photo), pen);
}
