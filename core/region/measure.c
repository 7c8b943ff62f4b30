/* The color of one region: pixels set aside, the center of the rest in linear light, its doubt. */
#include "region/parts.h"
#include "region/work.h"

#include "pourtone/numeric.h"

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

enum { SPREAD_SAMPLE = PT__SAMPLE_MAX / 2 };

static void rows_free(pt__rows *rows) {
  free(rows->xyz);
  free(rows->lab);
  free(rows->x);
  free(rows->y);
  free(rows->scratch);
  free(rows->block);
}

/* The light falls on the photo, whatever was thinned. */
static void to_photo(pt__rows *rows, const pt_rect *first, float scale) {
  for (size_t i = 0; i < rows->n; i++) {
    rows->x[i] = (float)first->x + scale * (rows->x[i] - (float)first->x);
    rows->y[i] = (float)first->y + scale * (rows->y[i] - (float)first->y);
  }
}

static pt_status rows_make(const pt__work *work, const pt__blocks *blocks, pt__rows *out, pt_error *err) {
  size_t n = blocks->n;
  out->xyz = malloc(3 * n * sizeof(float));
  out->lab = malloc(3 * n * sizeof(float));
  out->x = malloc(n * sizeof(float));
  out->y = malloc(n * sizeof(float));
  out->scratch = malloc(n * sizeof(float));
  out->block = malloc(n * sizeof *out->block);
  if (!out->xyz || !out->lab || !out->x || !out->y || !out->scratch || !out->block)
    return pt_fail_memory(err, "the averages of the marked area");
  for (size_t i = 0; i < n; i++) {
    const pt__block *block = &blocks->block[i];
    if (!block->body) continue;
    memcpy(out->xyz + 3 * out->n, block->rgb, sizeof block->rgb);
    out->x[out->n] = block->x;
    out->y[out->n] = block->y;
    out->block[out->n++] = block;
  }
  int step = work->patch->step;
  if (step > 1) to_photo(out, &work->patch->rect, (float)step);
  pt_light_xyz(work->light, out->xyz, out->x, out->y, out->n, out->xyz);
  if (step > 1) to_photo(out, &work->patch->rect, 1 / (float)step);
  return PT_OK;
}

/* Typical distance of one kept pixel from the center. */
static double pixel_spread(const pt__work *work, pt_lab center, size_t kept) {
  size_t step = (kept + SPREAD_SAMPLE - 1) / SPREAD_SAMPLE, area = work->w * work->h, seen = 0, n = 0;
  float *rgb = work->sample, *de00 = work->scratch, *x = de00 + SPREAD_SAMPLE, *y = x + SPREAD_SAMPLE;
  float at[3] = {(float)center.L, (float)center.a, (float)center.b};
  for (size_t i = 0; i < area && n < SPREAD_SAMPLE; i++) {
    if (pt__class_of(work->cls[i]) != PT_PIXEL_KEPT || seen++ % step) continue;
    pt__place_of(work, (float)(i % work->w), (float)(i / work->w), &x[n], &y[n]);
    memcpy(rgb + 3 * n++, work->patch->rgb + 3 * i, 3 * sizeof(float));
  }
  pt_light_xyz(work->light, rgb, x, y, n, rgb);
  pt_lab_from_xyz_rows(rgb, n, rgb);
  float *to = work->sample + 3 * n;
  for (size_t i = 0; i < n; i++) memcpy(to + 3 * i, at, sizeof at);
  pt_de00_rows(to, rgb, n, de00);
  return (double)pt_median_f(de00, n);
}

static pt_shares shares_of(const pt__work *work) {
  size_t count[PT_PIXEL_CLIPPED + 1] = {0}, area = work->w * work->h;
  for (size_t i = 0; i < area; i++) count[work->shown[i]]++;
  double n = (double)work->inside;
  return (pt_shares){.kept = (double)count[PT_PIXEL_KEPT] / n,
                     .gloss = (double)count[PT_PIXEL_GLOSS] / n,
                     .flake = (double)count[PT_PIXEL_FLAKE] / n,
                     .shadow = (double)count[PT_PIXEL_SHADOW] / n,
                     .clipped = (double)count[PT_PIXEL_CLIPPED] / n};
}

static pt_status too_few(const pt__work *work, size_t kept, pt_error *err) {
  size_t clipped = pt__pixels_count(work, PT_PIXEL_CLIPPED);
  if (work->inside < PT__KEPT_MIN)
    return pt_fail(err, PT_TOO_FEW,
                   "The marked area holds only %zu pixels, and %d are needed; mark a larger area.",
                   work->inside, PT__KEPT_MIN);
  if (2 * clipped > work->inside)
    return pt_fail(err, PT_TOO_FEW,
                   "%zu of the marked area's %zu pixels are clipped (too bright or black), which leaves no "
                   "color to read; photograph it again at another exposure, or mark another spot.",
                   clipped, work->inside);
  return pt_fail(err, PT_TOO_FEW,
                 "Only %zu of the marked area's %zu pixels show the plastic itself, and %d are needed; mark "
                 "a larger area with less gloss and flake.",
                 kept, work->inside, PT__KEPT_MIN);
}

/* One deviation: what the parts of the region show, what the set-aside pixels and uneven light may have left
 * behind, and the fit of the light.  The middle terms were set by simulation, docs/color-model.md#regions. */
static double doubt_of(const pt__work *work, const pt__parts *parts, const pt_reading *reading,
                       double speaking, double moved) {
  double aside = 1 - speaking, small = sqrt(SMALL_AREA / (double)work->inside);
  double left = FLOOR_DE00 + ASIDE_DE00 * aside * (ASIDE_SQUARED * aside + small);
  double own = hypot(pt__parts_doubt(parts), hypot(left, MOVED_SHARE * moved));
  return hypot(own, pt_light_uncertainty(work->light, reading->lab));
}

/* How far the lightness was moved from the blocks' median. */
static double moved_of(pt_xyz center, double median_level) {
  double scale = center.Y > 0 ? median_level / center.Y : 1;
  pt_xyz median = {center.X * scale, center.Y * scale, center.Z * scale};
  return pt_de00(pt_lab_from_xyz(median), pt_lab_from_xyz(center));
}

static pt_status reading_make(pt__work *work, const pt__blocks *blocks, pt_reading *out, pt_error *err) {
  pt__rows rows = {0};
  pt_status status = rows_make(work, blocks, &rows, err);
  if (status == PT_OK) {
    pt_reading r = {.pixels = work->inside, .shares = shares_of(work)};
    double median_level;
    pt_xyz center = pt__center_of(work, &rows, &median_level);
    r.lab = pt_lab_from_xyz(center);
    r.lch = pt_lch_from_lab(r.lab);
    size_t speaking = pt__pixels_count(work, PT_PIXEL_KEPT);
    r.spread_de00 = pixel_spread(work, r.lab, speaking);
    pt__parts parts = pt__parts_of(&rows, blocks, r.lab);
    r.uncertainty_de00 =
        doubt_of(work, &parts, &r, (double)speaking / (double)work->inside, moved_of(center, median_level));
    status = pt__notes_write(work, &parts, &r, err);
    if (status == PT_OK) *out = r;
  }
  rows_free(&rows);
  return status;
}

static pt_status work_run(pt__work *work, const uint8_t *mask, pt_reading *out, pt_error *err) {
  pt__blocks blocks = {0};
  pt_status status = pt__pixels_classify(work, mask, err);
  if (status == PT_OK && pt__pixels_count(work, PT_PIXEL_KEPT) >= PT__KEPT_MIN)
    status = pt__blocks_build(work, &blocks, err);
  size_t kept = pt__pixels_count(work, PT_PIXEL_KEPT);
  if (status == PT_OK && kept < PT__KEPT_MIN) status = too_few(work, kept, err);
  if (status == PT_OK) status = pt__shown_classify(work, err);
  if (status == PT_OK) status = reading_make(work, &blocks, out, err);
  pt__blocks_free(&blocks);
  return status;
}

pt_status pt_region_measure(const pt_patch *patch, const uint8_t *mask, const pt_light *light,
                            pt_reading *out, uint8_t *classes, pt_error *err) {
  pt__work work = {.patch = patch, .light = light, .w = (size_t)patch->rect.w, .h = (size_t)patch->rect.h};
  size_t area = work.w * work.h;
  pt_status status;
  pt_light_white(light, work.white);
  work.cls = malloc(area);
  work.grown = malloc(area);
  work.shown = malloc(area);
  work.queue = malloc(area * sizeof *work.queue);
  work.sample = malloc((size_t)PT__SAMPLE_MAX * 3 * sizeof(float));
  work.scratch = malloc((size_t)PT__SAMPLE_MAX * 2 * sizeof(float));
  if (!work.cls || !work.grown || !work.shown || !work.queue || !work.sample || !work.scratch)
    status = pt_fail_memory(err, "the pixels of the marked area");
  else
    status = work_run(&work, mask, out, err);
  if (status == PT_OK && classes) memcpy(classes, work.shown, area);
  free(work.cls);
  free(work.grown);
  free(work.shown);
  free(work.queue);
  free(work.sample);
  free(work.scratch);
  return status;
}
