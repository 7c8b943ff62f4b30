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

static double value_at(const double term[TERMS], double u, double v) {
  return term[0] + u * (term[1] + u * term[3] + v * term[4]) + v * (term[2] + v * term[5]);
}

/* What is fitted: the places laid out straight, the values as shares of the level, and room for n more. */
typedef struct points {
  size_t n;
  float *u, *v, *share, *off;
} points;

static points points_make(const float *x, const float *y, const float *value, size_t n, float *scratch,
                          const dw__surface *s) {
  points out = {.n = n, .u = scratch, .v = scratch + n, .share = scratch + 2 * n, .off = scratch + 3 * n};
  for (size_t i = 0; i < n; i++) {
    double u, v;
    straight(&s->layout, (double)x[i], (double)y[i], &u, &v);
    out.u[i] = (float)u, out.v[i] = (float)v;
    out.share[i] = (float)((double)value[i] / s->level);
  }
  return out;
}

static double off_at(const points *p, const dw__surface *s, size_t i) {
  return (double)p->share[i] - value_at(s->term, (double)p->u[i], (double)p->v[i]);
}

static double sigma_of(const points *p, const dw__surface *s) {
  for (size_t i = 0; i < p->n; i++) p->off[i] = (float)fabs(off_at(p, s, i));
  double sigma = 1.4826 * (double)dw_median_f(p->off, p->n);
  return sigma > NOISE_LEAST ? sigma : NOISE_LEAST;
}

/* Adds one place to the lower triangle of the least squares. */
static void point_add(const points *p, size_t i, double weight, double *normal, double right[TERMS]) {
  const double u = (double)p->u[i], v = (double)p->v[i], terms[TERMS] = {1, u, v, u * u, u * v, v * v};
  for (int r = 0; r < TERMS; r++) {
    const double much = weight * terms[r];
    right[r] += much * (double)p->share[i];
    for (int c = 0; c <= r; c++) normal[r * TERMS + c] += much * terms[c];
  }
}

/* One weighted ridge fit; residuals beyond six sigma of the last fit count nothing (Tukey's biweight). */
static dw_status fit_step(const points *p, double sigma, dw__surface *s) {
  static const double prior[TERMS] = {1e3, SLOPE_PRIOR, SLOPE_PRIOR, CURVE_PRIOR, CURVE_PRIOR, CURVE_PRIOR};
  double normal[TERMS * TERMS] = {0}, right[TERMS] = {0};
  for (int k = 0; k < TERMS; k++) normal[k * TERMS + k] = sigma * sigma / (prior[k] * prior[k]);
  for (size_t i = 0; i < p->n; i++) {
    double far = off_at(p, s, i) / (6 * sigma), near = 1 - far * far;
    if (near > 0) point_add(p, i, near * near, normal, right);
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
  points p = points_make(x, y, value, n, scratch, out);
  for (int step = 0; step < ROBUST_STEPS; step++)
    if (fit_step(&p, sigma_of(&p, out), out) != DW_OK) {
      memcpy(out->term, flat, sizeof flat);
      return;
    }
  double middle = fmin(fmax(out->term[0], 1 - LEVEL_MOST), 1 + LEVEL_MOST);
  for (int k = 0; k < TERMS; k++) out->term[k] /= middle;
  out->level *= middle;
}

double dw__surface_shade(const dw__surface *surface, float x, float y) {
  double u, v;
  straight(&surface->layout, (double)x, (double)y, &u, &v);
  double value = value_at(surface->term, u, v);
  return !(value > 0.3) ? 0.3 : value > 3 ? 3 : value;
}
