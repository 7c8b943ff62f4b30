/* Levenberg-Marquardt on the fit's unknowns, k2 and the air gap among them, within their bounds. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "mix/fit_model.h"

#define DAMPING_FIRST 1e-2
#define DAMPING_LEAST 1e-7
#define DAMPING_MOST 1e6
static const double surface_least[PT__SURFACE_UNKNOWNS] = {0.40, 0.0};
static const double surface_most[PT__SURFACE_UNKNOWNS] = {0.70, 1.0};

pt_status pt__point_new(const pt__problem *problem, pt__point *out, pt_error *err) {
  memset(out, 0, sizeof *out);
  out->x = calloc(problem->n_unknowns, sizeof *out->x);
  out->spectra = calloc(problem->n_materials, sizeof *out->spectra);
  if (out->x && out->spectra) return PT_OK;
  pt__point_free(out);
  return pt_fail_memory(err, "the fit's unknowns");
}

void pt__point_copy(const pt__problem *problem, const pt__point *from, pt__point *to) {
  memcpy(to->x, from->x, problem->n_unknowns * sizeof *to->x);
  memcpy(to->spectra, from->spectra, problem->n_materials * sizeof *to->spectra);
  to->cost = from->cost;
}

void pt__point_free(pt__point *point) {
  free(point->x), free(point->spectra);
  memset(point, 0, sizeof *point);
}

void pt__unknown_freeze(double *H, double *g, size_t n, size_t i) {
  for (size_t j = 0; j < i; j++) H[i * n + j] = 0;
  for (size_t j = i + 1; j < n; j++) H[j * n + i] = 0;
  H[i * n + i] = 1, g[i] = 0;
}

/* A surface unknown that is held, or at its bound and about to leave it, stays there for this step. */
static void bounds_freeze(const pt__problem *problem, const double *x, double *H, double *g) {
  size_t last = problem->n_unknowns - PT__SURFACE_UNKNOWNS;
  for (size_t i = 0; i < PT__SURFACE_UNKNOWNS; i++) {
    bool low = x[last + i] <= surface_least[i] && g[last + i] < 0;
    bool high = x[last + i] >= surface_most[i] && g[last + i] > 0;
    if (low || high || !problem->surface_free) pt__unknown_freeze(H, g, problem->n_unknowns, last + i);
  }
}

static void step_try(const pt__problem *problem, const pt__point *from, const double *step, pt__point *to) {
  size_t n = problem->n_unknowns, last = n - PT__SURFACE_UNKNOWNS;
  for (size_t i = 0; i < n; i++) to->x[i] = from->x[i] + step[i];
  for (size_t i = 0; i < PT__SURFACE_UNKNOWNS; i++)
    to->x[last + i] = fmin(fmax(to->x[last + i], surface_least[i]), surface_most[i]);
  pt__spectra_fill(problem, to);
  pt__cost_fill(problem, to);
}

/* Solves (H + damping diag H) step = g; false when that is not positive definite. */
static bool damped_solve(const double *H, const double *g, size_t n, double damping, double *L,
                         double *step) {
  memcpy(L, H, n * n * sizeof *L), memcpy(step, g, n * sizeof *step);
  for (size_t i = 0; i < n; i++) L[i * n + i] *= 1 + damping;
  if (pt_cholesky(L, n, NULL) != PT_OK) return false;
  pt_cholesky_solve(L, n, step, 1);
  return true;
}

typedef struct work {
  double *H, *L, *g, *step;
  pt__point trial;
} work;

static pt_status work_new(const pt__problem *problem, work *out, pt_error *err) {
  size_t n = problem->n_unknowns;
  memset(out, 0, sizeof *out);
  out->H = calloc(n * n, sizeof *out->H), out->L = calloc(n * n, sizeof *out->L);
  out->g = calloc(n, sizeof *out->g), out->step = calloc(n, sizeof *out->step);
  if (!out->H || !out->L || !out->g || !out->step) return pt_fail_memory(err, "the fit's equations");
  return pt__point_new(problem, &out->trial, err);
}

static void work_free(work *w) {
  free(w->H), free(w->L), free(w->g), free(w->step);
  pt__point_free(&w->trial);
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
static pt_status descend_once(const pt__problem *problem, work *w, double *damping, pt__point *point,
                              double *gain, pt_error *err) {
  *gain = 0;
  pt_status status = pt__normal_fill(problem, point, w->H, w->g, err);
  if (status != PT_OK) return status;
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
    pt__point_copy(problem, &w->trial, point);
    return PT_OK;
  }
  return PT_OK;
}

pt_status pt__fit_descend(const pt__problem *problem, size_t max_steps, double gain_least, pt__point *point,
                          size_t *steps, pt_error *err) {
  work w;
  double damping = DAMPING_FIRST, gain = INFINITY;
  pt_status status = work_new(problem, &w, err);
  pt__spectra_fill(problem, point);
  pt__cost_fill(problem, point);
  for (size_t i = 0; status == PT_OK && i < max_steps && gain > gain_least; i++, ++*steps)
    status = descend_once(problem, &w, &damping, point, &gain, err);
  work_free(&w);
  return status;
}
