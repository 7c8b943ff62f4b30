/* The robust color of one patch: dust, gloss and edges are set aside around the median. */
#include "card/place.h"
#include "card/sample.h"

#include <math.h>
#include <string.h>

/* Pixels farther than this from the median, in robust deviations, are set aside. */
#define KEEP_DEVIATIONS 3.0
/* A deviation below this, on that scale, counts as this: one step of 8 bits. */
#define LEAST_DEVIATION 0.004

/* Pixels are compared on a scale where a camera's noise is about even: a square root, straight near black. */
#define BLACK 0.02
static double tone(double value) {
  const double t = sqrt(fabs(value) + BLACK) - sqrt(BLACK);
  return value >= 0.0 ? t : -t;
}

static double tone_back(double t) {
  const double root = fabs(t) + sqrt(BLACK), value = root * root - BLACK;
  return t >= 0.0 ? value : -value;
}

typedef struct pixels {
  size_t n;
  double *tone[3];
  double *work;
} pixels;

static bool inside(const dw_homography *to_grid, double x, double y, double column, double row) {
  double gx, gy;
  dw_homography_at(to_grid, x, y, &gx, &gy);
  return fabs(gx - column) <= DW__SAMPLED_HALF && fabs(gy - row) <= DW__SAMPLED_HALF;
}

/* Every step-th pixel of every step-th row, so that a large patch costs no more than a small one. */
static int step_for(const dw_rect *rect) {
  int step = 1;
  while ((long)((rect->w + step - 1) / step) * ((rect->h + step - 1) / step) > DW__PATCH_PIXELS) step++;
  return step;
}

static void pixels_gather(const dw_patch *patch, const dw_homography *to_grid, double column, double row,
                          pixels *px, dw__reading *out) {
  const dw_rect *rect = &patch->rect;
  const int step = step_for(rect);
  size_t high = 0, low = 0;
  for (int y = 0; y < rect->h; y += step) {
    for (int x = 0; x < rect->w; x += step) {
      if (!inside(to_grid, rect->x + x, rect->y + y, column, row)) continue;
      const size_t at = (size_t)y * (size_t)rect->w + (size_t)x;
      for (int c = 0; c < 3; c++) px->tone[c][px->n] = tone((double)patch->rgb[3 * at + (size_t)c]);
      high += (patch->clip[at] & DW_CLIP_HIGH) != 0;
      low += (patch->clip[at] & DW_CLIP_LOW) != 0;
      px->n++;
    }
  }
  out->pixels = px->n;
  out->high = px->n ? (double)high / (double)px->n : 0.0;
  out->low = px->n ? (double)low / (double)px->n : 0.0;
}

static double middle(pixels *px, int c, double *sigma) {
  memcpy(px->work, px->tone[c], px->n * sizeof *px->work);
  const double median = dw_median(px->work, px->n);
  *sigma = dw_mad_sigma(px->work, px->n, median);
  return median;
}

static void pixels_average(pixels *px, dw__reading *out) {
  double median[3], sigma[3], sum[3] = {0};
  size_t kept = 0;
  for (int c = 0; c < 3; c++) {
    median[c] = middle(px, c, &sigma[c]);
    out->spread = fmax(out->spread, 100.0 * sigma[c]);
    sigma[c] = fmax(sigma[c], LEAST_DEVIATION);
  }
  for (size_t i = 0; i < px->n; i++) {
    bool keep = true;
    for (int c = 0; c < 3; c++) keep = keep && fabs(px->tone[c][i] - median[c]) <= KEEP_DEVIATIONS * sigma[c];
    if (!keep) continue;
    for (int c = 0; c < 3; c++) sum[c] += tone_back(px->tone[c][i]);
    kept++;
  }
  for (int c = 0; c < 3; c++) out->rgb[c] = kept ? sum[c] / (double)kept : tone_back(median[c]);
  out->set_aside = 1.0 - (double)kept / (double)px->n;
}

void dw__patch_read(const dw_patch *patch, const dw_homography *to_grid, double column, double row,
                    double *scratch, dw__reading *out) {
  pixels px = {.tone = {scratch, scratch + DW__PATCH_PIXELS, scratch + 2 * DW__PATCH_PIXELS},
               .work = scratch + 3 * DW__PATCH_PIXELS};
  *out = (dw__reading){0};
  pixels_gather(patch, to_grid, column, row, &px, out);
  if (px.n > 0) pixels_average(&px, out);
}
