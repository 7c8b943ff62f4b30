/* Root-polynomial color correction of degree 2: r, g, b, sqrt(rg), sqrt(gb), sqrt(rb) to XYZ.
 * Source: G. D. Finlayson, M. Mackiewicz, A. Hurlbert, "Color correction using root-polynomial regression",
 * IEEE Trans. Image Process. 24 (2015) 1460. It keeps its colors when the exposure changes, as light does.
 *
 * The errors are weighed by the matrix that turns a small XYZ error at the patch into a CIEDE2000 vector, so
 * dark patches count as the eye counts them. */
#include "card/fit.h"

#include <math.h>
#include <string.h>

/* A coefficient may stray from the linear fit by about 1 / sqrt(RIDGE) = 0.1 where the patches err by 1. */
#define RIDGE 100.0
/* Keeps the linear fit defined when the patches hardly span the colors. */
#define RIDGE_LINEAR 1e-6

enum { UNKNOWNS_MAX = 3 * DW__FEATURES };

/* What of a sample stays the same whatever the root-polynomial is. */
typedef struct seen {
  double features[DW__FEATURES];
  double
      square[9]; /* metric' metric times its weight: the normal equations of one patch are this by features */
} seen;

static void seen_make(const dw__sample *s, const dw__model *model, seen *out) {
  double reflectance[3];
  dw__model_reflectance(model, s->rgb, s->place, reflectance);
  dw__root_features(reflectance, out->features);
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++) {
      double sum = 0.0;
      for (int k = 0; k < 3; k++) sum += s->metric[3 * k + i] * s->metric[3 * k + j];
      out->square[3 * i + j] = s->weight * sum;
    }
}

/* How far the sample's own color lies from what the model says. */
static void error_of(const dw__sample *s, const seen *at, const dw__model *model, double out[3]) {
  const double xyz[3] = {s->xyz.X, s->xyz.Y, s->xyz.Z};
  for (size_t o = 0; o < 3; o++) {
    out[o] = xyz[o];
    for (size_t f = 0; f < DW__FEATURES; f++) out[o] -= at->features[f] * model->root[f][o];
  }
}

/* Adds one patch: unknown (feature f, output o) stands at 3 f + o. */
static void equations_add(const double square[9], const double *features, size_t nf, const double error[3],
                          double *lhs, double *rhs) {
  for (size_t o = 0; o < 3; o++) {
    const double *row = square + 3 * o, off = row[0] * error[0] + row[1] * error[1] + row[2] * error[2];
    for (size_t f = 0; f < nf; f++) {
      double *to = lhs + (3 * f + o) * 3 * nf;
      rhs[3 * f + o] += features[f] * off;
      for (size_t g = 0; g <= f; g++, to += 3) {
        const double both = features[f] * features[g];
        to[0] += both * row[0], to[1] += both * row[1], to[2] += both * row[2];
      }
    }
  }
}

static void equations_finish(double *lhs, size_t m, double ridge) {
  for (size_t i = 0; i < m; i++) {
    lhs[i * m + i] += ridge;
    for (size_t j = i + 1; j < m; j++) lhs[i * m + j] = lhs[j * m + i];
  }
}

/* Improves model->root by the first nf features with a ridge toward where it stands. */
static dw_status root_step(const dw__sample *s, const seen *at, size_t n, dw__model *model, size_t nf,
                           double ridge, dw_error *err) {
  double lhs[UNKNOWNS_MAX * UNKNOWNS_MAX] = {0}, rhs[UNKNOWNS_MAX] = {0};
  for (size_t i = 0; i < n; i++) {
    double error[3];
    error_of(&s[i], &at[i], model, error);
    equations_add(at[i].square, at[i].features, nf, error, lhs, rhs);
  }
  equations_finish(lhs, 3 * nf, ridge);
  dw_status status = dw_cholesky(lhs, 3 * nf, err);
  if (status != DW_OK) return status;
  dw_cholesky_solve(lhs, 3 * nf, rhs, 1);
  for (size_t f = 0; f < nf; f++)
    for (size_t o = 0; o < 3; o++) model->root[f][o] += rhs[3 * f + o];
  return DW_OK;
}

static void errors_weigh(const dw__sample *s, const seen *at, size_t n, const dw__model *model, double *out) {
  for (size_t i = 0; i < n; i++) {
    double error[3];
    error_of(&s[i], &at[i], model, error);
    for (size_t o = 0; o < 3; o++) {
      const double *m = &s[i].metric[3 * o];
      out[3 * i + o] = -sqrt(s[i].weight) * (m[0] * error[0] + m[1] * error[1] + m[2] * error[2]);
    }
  }
}

dw_status dw__root_fit(const dw__sample *s, size_t n, dw__model *model, double *out_error, dw_error *err) {
  seen at[DW_CARD_PATCHES_MAX];
  memset(model->root, 0, sizeof model->root);
  for (size_t i = 0; i < n; i++) seen_make(&s[i], model, &at[i]);
  dw_status status = root_step(s, at, n, model, 3, RIDGE_LINEAR, err);
  if (status == DW_OK) status = root_step(s, at, n, model, DW__FEATURES, RIDGE, err);
  if (status == DW_OK && out_error != NULL) errors_weigh(s, at, n, model, out_error);
  return status;
}
