#include "region/surface.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <string.h>

enum { TERMS = DW__SURFACE_TERMS, ROBUST_STEPS = 4 };

/* What slope and curvature are to be expected over half the area, as shares of the level. */
#define SLOPE_PRIOR 0.5
#define CURVE_PRIOR 0.15
/* Least noise, so that a flat patch is not divided by 0. */
#define NOISE_LEAST 1e-4
/* The surface may move the level from the median by this share. */
#define LEVEL_MOST 0.15

static void straight(const dw__layout *layout, double x, double y, double *u, double *v) {
  double dx = x - layout->x, dy = y - layout->y, across = dy * layout->way[0] - dx * layout->way[1];
  const double *b = layout->bend;
  *u = (dx * layout->way[0] + dy * layout->way[1]) / layout->half[0];
  *v = (across - *u * (b[0] + *u * (b[1] + *u * (b[2] + *u * b[3])))) / layout->half[1];
}

static double value_at(const dw__surface *s, float x, float y, double terms[TERMS]) {
  double u, v, sum = 0;
  straight(&s->layout, (double)x, (double)y, &u, &v);
  memcpy(terms, (double[TERMS]){1, u, v, u * u, u * v, v * v}, TERMS * sizeof *terms);
  for (int k = 0; k < TERMS; k++) sum += s->term[k] * terms[k];
  return sum;
}

static double sigma_of(const float *x, const float *y, const float *value, size_t n, float *scratch,
                       const dw__surface *s) {
  double terms[TERMS];
  for (size_t i = 0; i < n; i++)
    scratch[i] = (float)fabs((double)value[i] / s->level - value_at(s, x[i], y[i], terms));
  return fmax(1.4826 * (double)dw_median_f(scratch, n), NOISE_LEAST);
}

/* One weighted ridge fit; residuals beyond six sigma of the last fit count nothing (Tukey's biweight). */
static dw_status fit_step(const float *x, const float *y, const float *value, size_t n, double sigma,
                          dw__surface *s) {
  static const double prior[TERMS] = {1e3, SLOPE_PRIOR, SLOPE_PRIOR, CURVE_PRIOR, CURVE_PRIOR, CURVE_PRIOR};
  double normal[TERMS * TERMS] = {0}, right[TERMS] = {0}, terms[TERMS];
  for (int k = 0; k < TERMS; k++) normal[k * TERMS + k] = sigma * sigma / (prior[k] * prior[k]);
  for (size_t i = 0; i < n; i++) {
    double share = (double)value[i] / s->level, far = (share - value_at(s, x[i], y[i], terms)) / (6 * sigma);
    if (fabs(far) >= 1) continue;
    double weight = (1 - far * far) * (1 - far * far);
    for (int r = 0; r < TERMS; r++) {
      right[r] += weight * terms[r] * share;
      for (int c = 0; c < TERMS; c++) normal[r * TERMS + c] += weight * terms[r] * terms[c];
    }
  }
  dw_status status = dw_cholesky(normal, TERMS, NULL);
  if (status != DW_OK) return status;
  dw_cholesky_solve(normal, TERMS, right, 1);
  memcpy(s->term, right, sizeof right);
  return DW_OK;
}

void dw__surface_fit(const float *x, const float *y, const float *value, size_t n, float *scratch,
                     dw__surface *out) {
  const double flat[TERMS] = {1};
  memcpy(out->term, flat, sizeof flat);
  memcpy(scratch, value, n * sizeof *scratch);
  out->level = (double)dw_median_f(scratch, n);
  if (!(out->level > 0)) return;
  for (int step = 0; step < ROBUST_STEPS; step++)
    if (fit_step(x, y, value, n, sigma_of(x, y, value, n, scratch, out), out) != DW_OK) {
      memcpy(out->term, flat, sizeof flat);
      return;
    }
  double middle = fmin(fmax(out->term[0], 1 - LEVEL_MOST), 1 + LEVEL_MOST);
  for (int k = 0; k < TERMS; k++) out->term[k] /= middle;
  out->level *= middle;
}

double dw__surface_shade(const dw__surface *surface, float x, float y) {
  double terms[TERMS];
  return fmin(fmax(value_at(surface, x, y, terms), 0.3), 3);
}
