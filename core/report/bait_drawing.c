#include "report/bait_drawing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#define PI 3.14159265358979323846
#define BLEND_HALF 0.50 /* half the width of a blend, in shares of the slimmer neighbor */
#define BLEND_MOST 0.15 /* and of the body's height at most */

static dw_lab between(dw_lab a, dw_lab b, double t) {
  return (dw_lab){a.L + t * (b.L - a.L), a.a + t * (b.a - a.a), a.b + t * (b.b - a.b)};
}

/* The blend at any share, on lines between the colors that are predicted. */
static dw_lab blend_at(const dw_blend *blend, double share) {
  const dw_lab knot[5] = {blend->end[0].lab, blend->step[0].lab, blend->step[1].lab, blend->step[2].lab,
                          blend->end[1].lab};
  const int i = (int)fmin(3, floor(4 * share));
  return between(knot[i], knot[i + 1], 4 * share - i);
}

static double half_width(const dw__bait_drawing *d, size_t border) {
  return fmin(BLEND_MOST, BLEND_HALF * fmin(d->share[border], d->share[border + 1]));
}

/* Height of a line `into` (-1 to 1) a border. */
static double height_at(const dw__bait_drawing *d, size_t border, double into, double x) {
  const double phase = 2.1 * (double)border, turn = 2 * PI * x / DW__BAIT_WIDTH;
  const double waver = 0.020 * sin(2.3 * turn + phase) + 0.012 * sin(5.9 * turn + 1.7 * phase + 0.8 * into) +
                       0.006 * sin(13.0 * turn + 2.9 * phase + 1.9 * into);
  const double width = 1 + 0.35 * sin(1.6 * turn + 0.7 + phase);
  return d->border[border] + waver + into * width * half_width(d, border);
}

double dw__bait_band_at(const dw__bait_drawing *d, size_t border, int band, double x) {
  return height_at(d, border, 2.0 * (band + 1) / DW__BANDS - 1, x);
}

dw_lab dw__bait_band_color(const dw_blends *over, size_t border, int band) {
  return blend_at(&over->between[border], (band + 1) / (double)DW__BANDS);
}

dw_lab dw__bait_ground(const dw_blends *over) {
  const double r = over->slab.backing;
  return dw_lab_from_xyz((dw_xyz){r * DW_D50_X, r, r * DW_D50_Z});
}

static bool is_light(const dw_blends *over) {
  return dw__bait_ground(over).L > 50;
}

uint8_t dw__bait_ink(const dw_blends *over) {
  return is_light(over) ? 0x22 : 0xee;
}

void dw__bait_words(const dw__bait_drawing *d, const dw_blends *over, char out[DW__BAIT_WORDS_ROOM]) {
  snprintf(out, DW__BAIT_WORDS_ROOM, "over a %s bottom%s%s", is_light(over) ? "light" : "dark",
           *d->title ? ", " : "", d->title);
}

double dw__bait_thin(const dw__bait_drawing *d, const dw_blends *over) {
  double sum = 0, all = 0;
  for (size_t i = 0; i < over->n; i++) {
    const dw_blend *blend = &over->between[i ? i - 1 : 0];
    sum += d->share[i] * blend->end[i ? 1 : 0].see_through, all += d->share[i];
  }
  return DW__THIN_MOST * (1 - sum / all);
}

static void find_borders(dw__bait_drawing *d) {
  double all = 0, sum = 0;
  for (size_t i = 0; i < d->over[0].n; i++) all += d->share[i];
  for (size_t i = 0; i < d->over[0].n; i++) d->border[i] = (sum += d->share[i]) / all;
}

static dw_status make(const dw_shelf *shelf, const dw_bait_view *view, const dw_bait_picture *picture,
                      size_t column, dw__bait_drawing *out, dw_error *err) {
  const double backing[DW__GROUNDS] = {DW_BACKING_WHITE, DW_BACKING_BLACK};
  dw_status status = DW_OK;
  for (int i = 0; status == DW_OK && i < DW__GROUNDS; i++)
    status = dw_blends_over(shelf, view->blends, backing[i], &out->over[i], err);
  if (status != DW_OK) return status;
  snprintf(out->id, sizeof out->id, column ? "%.20s%zu" : "%.20s", picture->id, column);
  out->title = view->title ? view->title : "";
  out->share = picture->share;
  out->outline = dw__bait_outline_of(picture->outline);
  if (picture->found) out->outline = dw__bait_outline_found(picture->found, &out->found);
  dw__bait_profile(out->outline, &out->profile);
  find_borders(out);
  return DW_OK;
}

dw_status dw__bait_drawings_make(const dw_shelf *shelf, const dw_bait_view *views, size_t n,
                                 const dw_bait_picture *picture, dw__bait_drawing **out, dw_error *err) {
  dw__bait_drawing *drawings = calloc(n, sizeof *drawings);
  if (!drawings) return dw_fail_memory(err, "the picture");
  dw_status status = DW_OK;
  for (size_t i = 0; status == DW_OK && i < n; i++)
    status = make(shelf, &views[i], picture, i, &drawings[i], err);
  if (status == DW_OK)
    *out = drawings;
  else
    free(drawings);
  return status;
}
