/* Levenberg-Marquardt on the fit's unknowns, k2 and the air gap among them, within their bounds. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "mix/fit_model.h"

#define DAMPING_FIRST 1e-2
#define DAMPING_LEAST 1e-7
#define DAMPING_MOST 1e6
static const double surface_least[DW__SURFACE_UNKNOWNS] = {0.40, 0.0};
static const double surface_most[DW__SURFACE_UNKNOWNS] = {0.70, 1.0};

dw_status dw__point_new(const dw__problem *problem, dw__point *out, dw_error *err) {
  memset(out, 0, sizeof *out);
  out->x = calloc(problem->n_unknowns, sizeof *out->x);
  out->spectra = calloc(problem->n_materials, sizeof *out->spectra);
  if (out->x && out->spectra) return DW_OK;
  dw__point_free(out);
  return dw_fail_memory(err, "the fit's unknowns");
}

void dw__point_copy(const dw__problem *problem, const dw__point *from, dw__point *to) {
  memcpy(to->x, from->x, problem->n_unknowns * sizeof *to->x);
  memcpy(to->spectra, from->spectra, problem->n_materials * sizeof *to->spectra);
  to->cost = from->cost;
}

void dw__point_free(dw__point *point) {
  free(point->x), free(point->spectra);
  memset(point, 0, sizeof *point);
}

void dw__unknown_freeze(double *H, double *g, size_t n, size_t i) {
  for (size_t j = 0; j < i; j++) H[i * n + j] = 0;
  for (size_t j = i + 1; j < n; j++) H[j * n + i] = 0;
  H[i * n + i] = 1, g[i] = 0;
}

/* A surface unknown that is held, or at its bound and about to leave it, stays there for this step. */
static void bounds_freeze(const dw__problem *problem, const double *x, double *H, double *g) {
  size_t last = problem->n_unknowns - DW__SURFACE_UNKNOWNS;
  for (size_t i = 0; i < DW__SURFACE_UNKNOWNS; i++) {
    bool low = x[last + i] <= surface_least[i] && g[last + i] < 0;
    bool high = x[last + i] >= surface_most[i] && g[last + i] > 0;
    if (low || high || !problem->surface_free) dw__unknown_freeze(H, g, problem->n_unknowns, last + i);
  }
}

static void step_try(const dw__problem *problem, const dw__point *from, const double *step, dw__point *to) {
  size_t n = problem->n_unknowns, last = n - DW__SURFACE_UNKNOWNS;
  for (size_t i = 0; i < n; i++) to->x[i] = from->x[i] + step[i];
  for (size_t i = 0; i < DW__SURFACE_UNKNOWNS; i++)
    to->x[last + i] = fmin(fmax(to->x[last + i], surface_least[i]), surface_most[i]);
  dw__spectra_fill(problem, to);
  dw__cost_fill(problem, to);
}

/* Solves (H + damping diag H) step = g; false when that is not positive definite. */
static bool damped_solve(const double *H, const double *g, size_t n, double damping, double *L,
                         double *step) {
  memcpy(L, H, n * n * sizeof *L), memcpy(step, g, n * sizeof *step);
  for (size_t i = 0; i < n; i++) L[i * n + i] *= 1 + damping;
  if (dw_cholesky(L, n, NULL) != DW_OK) return false;
  dw_cholesky_solve(L, n, step, 1);
  return true;
}

typedef struct work {
  double *H, *L, *g, *step;
  dw__point trial;
} work;

static dw_status work_new(const dw__problem *problem, work *out, dw_error *err) {
  size_t n = problem->n_unknowns;
  memset(out, 0, sizeof *out);
  out->H = calloc(n * n, sizeof *out->H), out->L = calloc(n * n, sizeof *out->L);
  out->g = calloc(n, sizeof *out->g), out->step = calloc(n, sizeof *out->step);
  if (!out->H || !out->L || !out->g || !out->step) return dw_fail_memory(err, "the fit's equations");
  return dw__point_new(problem, &out->trial, err);
}

static void work_free(work *w) {
  free(w->H), free(w->L), free(w->g), free(w->step);
  dw__point_free(&w->trial);
}

/* What the quadratic model promises of a step: g step + damping step' D step. */
static double promised_gain(const work *w, size_t n, double damping) {
  double gain = 0;
  for (size_t i = 0; i < n; i++) {
    double s = w->step[i];
    gain += w->g[i] * s + damping * w->H[i * n + i] * s * s;
  }
  return gain;
}

/* One step downhill; *gain is what it won, 0 when none was found. */
static dw_status descend_once(const dw__problem *problem, work *w, double *damping, dw__point *point,
                              double *gain, dw_error *err) {
  *gain = 0;
  dw_status status = dw__normal_fill(problem, point, w->H, w->g, err);
  if (status != DW_OK) return status;
  bounds_freeze(problem, point->x, w->H, w->g);
  for (; *damping < DAMPING_MOST; *damping *= 8) {
    if (!damped_solve(w->H, w->g, problem->n_unknowns, *damping, w->L, w->step)) continue;
    step_try(problem, point, w->step, &w->trial);
    if (!(w->trial.cost < point->cost)) continue;
    *gain = point->cost - w->trial.cost;
    double kept = *gain / promised_gain(w, problem->n_unknowns, *damping);
    if (kept > 0.75)
      *damping = fmax(*damping / 8, DAMPING_LEAST);
    else if (kept < 0.25)
      *damping *= 4;
    dw__point_copy(problem, &w->trial, point);
    return DW_OK;
  }
  return DW_OK;
}

dw_status dw__fit_descend(const dw__problem *problem, size_t max_steps, double gain_least, dw__point *point,
                          size_t *steps, dw_error *err) {
  work w;
  double damping = DAMPING_FIRST, gain = INFINITY;
  dw_status status = work_new(problem, &w, err);
  dw__spectra_fill(problem, point);
  dw__cost_fill(problem, point);
  for (size_t i = 0; status == DW_OK && i < max_steps && gain > gain_least; i++, ++*steps)
    status = descend_once(problem, &w, &damping, point, &gain, err);
  work_free(&w);
  return status;
}
