/* The color of one region: pixels set aside, the center of the rest in linear light, its doubt. */
#include "region/measuring.h"
#include "region/parts.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Rounding and compression leave FLOOR in any reading.  Setting pixels aside leaves some of them: ASIDE times
 * their share, squared, and more in a small area, where single specks count.  Where the light over the area
 * moves the lightness from the median, a part of that move may be a soft gloss or an uneven plastic. */
#define FLOOR_DE00 0.02
#define ASIDE_DE00 0.6
#define ASIDE_SQUARED 0.4
#define SMALL_AREA 300.0
#define MOVED_SHARE 0.35
/* Specks read nearer to the plastic than they are, by this share of the way (tests/region/test_shares.c). */
#define MIXED_SHARE 0.2

enum { SPREAD_SAMPLE = DW__SAMPLE_MAX / 4 };

static void rows_free(dw__rows *rows) {
  free(rows->xyz);
  free(rows->lab);
  free(rows->x);
  free(rows->y);
  free(rows->scratch);
  free(rows->block);
}

/* The light falls on the photo, whatever was thinned. */
static void to_photo(dw__rows *rows, const dw_rect *first, float scale) {
  for (size_t i = 0; i < rows->n; i++) {
    rows->x[i] = (float)first->x + scale * (rows->x[i] - (float)first->x);
    rows->y[i] = (float)first->y + scale * (rows->y[i] - (float)first->y);
  }
}

static dw_status rows_make(const dw__measuring *work, const dw__blocks *blocks, dw__rows *out,
                           dw_error *err) {
  size_t n = blocks->n;
  out->xyz = malloc(3 * n * sizeof(float));
  out->lab = malloc(3 * n * sizeof(float));
  out->x = malloc(n * sizeof(float));
  out->y = malloc(n * sizeof(float));
  out->scratch = malloc(DW__SURFACE_SCRATCH * n * sizeof(float));
  out->block = malloc(n * sizeof *out->block);
  if (!out->xyz || !out->lab || !out->x || !out->y || !out->scratch || !out->block)
    return dw_fail_memory(err, "the averages of the marked area");
  for (size_t i = 0; i < n; i++) {
    const dw__block *block = &blocks->block[i];
    if (!block->body) continue;
    memcpy(out->xyz + 3 * out->n, block->rgb, sizeof block->rgb);
    out->x[out->n] = block->x;
    out->y[out->n] = block->y;
    out->block[out->n++] = block;
  }
  int step = work->patch->step;
  if (step > 1) to_photo(out, &work->patch->rect, (float)step);
  dw_light_xyz(work->light, out->xyz, out->x, out->y, out->n, out->xyz);
  if (step > 1) to_photo(out, &work->patch->rect, 1 / (float)step);
  return DW_OK;
}

/* Typical distance of one kept pixel from the center. */
static double pixel_spread(const dw__measuring *work, dw_lab center, size_t kept) {
  size_t step = (kept + SPREAD_SAMPLE - 1) / SPREAD_SAMPLE, seen = 0, n = 0;
  float *rgb = work->sample, *de00 = work->scratch, *x = de00 + SPREAD_SAMPLE, *y = x + SPREAD_SAMPLE;
  float at[3] = {(float)center.L, (float)center.a, (float)center.b};
  for (size_t row = 0; row < work->h; row++)
    for (size_t i = work->run[row].first; i < work->run[row].end && n < SPREAD_SAMPLE; i++) {
      if (dw__class_of(work->cls[i]) != DW_PIXEL_KEPT || seen++ % step) continue;
      dw__place_of(work, (float)(i - row * work->w), (float)row, &x[n], &y[n]);
      memcpy(rgb + 3 * n++, work->patch->rgb + 3 * i, 3 * sizeof(float));
    }
  dw_light_xyz(work->light, rgb, x, y, n, rgb);
  dw_lab_from_xyz_rows(rgb, n, rgb);
  float *to = work->sample + 3 * n;
  for (size_t i = 0; i < n; i++) memcpy(to + 3 * i, at, sizeof at);
  dw_de00_rows(to, rgb, n, de00);
  return (double)dw_median_f(de00, n);
}

static dw_shares shares_of(const dw__measuring *work) {
  size_t count[DW_PIXEL_CLIPPED + 1] = {0};
  for (size_t y = 0; y < work->h; y++)
    for (size_t i = work->run[y].first; i < work->run[y].end; i++) count[work->shown[i]]++;
  double n = (double)work->inside;
  return (dw_shares){.kept = (double)count[DW_PIXEL_KEPT] / n,
                     .gloss = (double)count[DW_PIXEL_GLOSS] / n,
                     .flake = (double)count[DW_PIXEL_FLAKE] / n,
                     .shadow = (double)count[DW_PIXEL_SHADOW] / n,
                     .clipped = (double)count[DW_PIXEL_CLIPPED] / n};
}

static dw_status too_few(const dw__measuring *work, size_t kept, dw_error *err) {
  size_t clipped = dw__pixels_count(work, DW_PIXEL_CLIPPED);
  if (work->inside < DW__KEPT_MIN)
    return dw_fail(err, DW_TOO_FEW,
                   "The marked area holds only %zu pixels, and %d are needed; mark a larger area.",
                   work->inside, DW__KEPT_MIN);
  if (2 * clipped > work->inside)
    return dw_fail(err, DW_TOO_FEW,
                   "%zu of the marked area's %zu pixels are clipped (too bright or black), which leaves no "
                   "color to read; photograph it again at another exposure, or mark another spot.",
                   clipped, work->inside);
  return dw_fail(err, DW_TOO_FEW,
                 "Only %zu of the marked area's %zu pixels show the plastic itself, and %d are needed; mark "
                 "a larger area with less gloss and flake.",
                 kept, work->inside, DW__KEPT_MIN);
}

/* One deviation: what the parts of the region show, what the set-aside pixels and uneven light may have left
 * behind, and the fit of the light.  The middle terms were set by simulation, docs/color-model.md#regions. */
static double doubt_of(const dw__measuring *work, const dw__parts *parts, const dw_reading *reading,
                       double speaking, double moved) {
  double aside = 1 - speaking, small = sqrt(SMALL_AREA / (double)work->inside);
  double left = FLOOR_DE00 + ASIDE_DE00 * aside * (ASIDE_SQUARED * aside + small);
  double own = hypot(dw__parts_doubt(parts), hypot(left, MOVED_SHARE * moved));
  return hypot(own, dw_light_uncertainty(work->light, reading->lab));
}

/* How far the lightness was moved from the blocks' median. */
static double moved_of(dw_xyz center, double median_level) {
  double scale = center.Y > 0 ? median_level / center.Y : 1;
  dw_xyz median = {center.X * scale, center.Y * scale, center.Z * scale};
  return dw_de00(dw_lab_from_xyz(median), dw_lab_from_xyz(center));
}

static dw_status reading_make(dw__measuring *work, const dw__blocks *blocks, dw_reading *out, dw_error *err) {
  dw__rows rows = {0};
  dw_status status = rows_make(work, blocks, &rows, err);
  if (status == DW_OK) {
    dw_reading r = {.pixels = work->inside, .shares = shares_of(work), .flake = dw__flake_of(work)};
    double median_level;
    dw_xyz center = dw__center_of(work, &rows, &median_level);
    r.lab = dw_lab_from_xyz(center);
    r.lch = dw_lch_from_lab(r.lab);
    if (r.flake.pixels)
      r.flake.uncertainty_de00 = hypot(r.flake.uncertainty_de00, MIXED_SHARE * dw_de00(r.lab, r.flake.lab));
    size_t speaking = dw__pixels_count(work, DW_PIXEL_KEPT);
    r.spread_de00 = pixel_spread(work, r.lab, speaking);
    dw__parts parts = dw__parts_of(&rows, blocks, r.lab);
    r.uncertainty_de00 =
        doubt_of(work, &parts, &r, (double)speaking / (double)work->inside, moved_of(center, median_level));
    status = dw__notes_write(work, &parts, &r, err);
    if (status == DW_OK) *out = r;
  }
  rows_free(&rows);
  return status;
}

static dw_status work_run(dw__measuring *work, const uint8_t *mask, dw_reading *out, dw_error *err) {
  dw__blocks blocks = {0};
  dw_status status = dw__pixels_classify(work, mask, err);
  if (status == DW_OK && dw__pixels_count(work, DW_PIXEL_KEPT) >= DW__KEPT_MIN)
    status = dw__blocks_build(work, &blocks, err);
  size_t kept = dw__pixels_count(work, DW_PIXEL_KEPT);
  if (status == DW_OK && kept < DW__KEPT_MIN) status = too_few(work, kept, err);
  if (status == DW_OK) status = dw__shown_classify(work, err);
  if (status == DW_OK) status = reading_make(work, &blocks, out, err);
  dw__blocks_free(&blocks);
  return status;
}

dw_status dw_region_measure(const dw_patch *patch, const uint8_t *mask, const dw_light *light,
                            dw_reading *out, uint8_t *classes, dw_error *err) {
  dw__measuring work = {
      .patch = patch, .light = light, .w = (size_t)patch->rect.w, .h = (size_t)patch->rect.h};
  size_t area = work.w * work.h;
  dw_status status;
  dw_light_white(light, work.white);
  work.run = malloc(work.h * sizeof *work.run);
  work.cls = malloc(area);
  work.grown = malloc(area);
  work.shown = malloc(area);
  work.queue = malloc(area * sizeof *work.queue);
  work.sample = malloc((size_t)DW__SAMPLE_MAX * 3 * sizeof(float));
  work.scratch = malloc((size_t)DW__SAMPLE_MAX * 2 * sizeof(float));
  if (!work.run || !work.cls || !work.grown || !work.shown || !work.queue || !work.sample || !work.scratch)
    status = dw_fail_memory(err, "the pixels of the marked area");
  else
    status = work_run(&work, mask, out, err);
  if (status == DW_OK && classes) memcpy(classes, work.shown, area);
  free(work.run);
  free(work.cls);
  free(work.grown);
  free(work.shown);
  free(work.queue);
  free(work.sample);
  free(work.scratch);
  return status;
}
