/* How well the chips pin the bottles down: joint draws around the fit (Laplace's approximation).
 *
 * The residual deviation is a guess until the chips have spoken: the draws are taken twice, first to count
 * the unknowns that the chips determine, then with the deviation that their residuals show. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "mix/fit_model.h"

#define DRAW_SEED 20110607u /* any fixed number: the same chips give the same draws */
/* The deviation believed beforehand counts as so many residuals, and what is found is held within a range:
 * chips can agree by luck, and photos share errors that no residual shows. */
#define DEVIATION_PRIOR_COUNT 12.0
#define DEVIATION_SHARE_LEAST 0.5
#define DEVIATION_SHARE_MOST 3.0

typedef struct posterior {
  const dw__problem *problem;
  const dw__point *point;
  size_t n;
  double *L;       /* n x n: Cholesky factor of the Hessian */
  double *offset;  /* DW_DRAWS / 2 of n: one of each antithetic pair */
  double *scratch; /* n */
} posterior;

/* Factor with the surface held (the shelf has one surface for all draws) and the residuals' deviation
 * `share` times what the fit took. */
static dw_status factor_make(posterior *p, double share, dw_error *err) {
  size_t n = p->n, last = n - DW__SURFACE_UNKNOWNS;
  double precision = 1 / (share * share);
  dw_status status = dw__normal_fill(p->problem, p->point, p->L, p->scratch, err);
  if (status != DW_OK) return status;
  for (size_t i = last; i < n; i++) dw__unknown_freeze(p->L, p->scratch, n, i);
  for (size_t i = 0; i < last; i++) {
    p->L[i * n + i] -= 1; /* the prior stays as it is */
    for (size_t j = 0; j <= i; j++) p->L[i * n + j] *= precision;
    p->L[i * n + i] += 1;
  }
  return dw_cholesky(p->L, n, err);
}

static void offsets_draw(posterior *p) {
  dw_random random = dw_random_seed(DRAW_SEED);
  for (size_t d = 0; d < DW_DRAWS / 2; d++) {
    double *offset = p->offset + d * p->n;
    for (size_t i = 0; i < p->n; i++)
      offset[i] = i < p->n - DW__SURFACE_UNKNOWNS ? dw_random_normal(&random) : 0;
    dw_cholesky_solve_transposed(p->L, p->n, offset);
  }
}

/* Deviation of the residuals against what the fit took for it: their squares over what is left of their
 * number once the determined unknowns are paid for.  Those are all unknowns less the trace of the posterior
 * covariance, which the draws estimate. */
static double deviation_share(const posterior *p) {
  double trace = 0, square = 0, count = 0;
  for (size_t i = 0; i < DW_DRAWS / 2 * p->n; i++) trace += p->offset[i] * p->offset[i];
  trace /= DW_DRAWS / 2;
  for (size_t i = 0; i < p->problem->n; i++) {
    double r[3], weight = p->problem->chip[i].weight;
    dw__chip_residual(p->problem, &p->problem->chip[i], p->point, r, NULL);
    square += weight * (r[0] * r[0] + r[1] * r[1] + r[2] * r[2]);
    count += 3 * weight;
  }
  double determined = (double)(p->n - DW__SURFACE_UNKNOWNS) - trace;
  double left = fmax(count - determined, 0);
  double share = sqrt((square + DEVIATION_PRIOR_COUNT) / (left + DEVIATION_PRIOR_COUNT));
  return fmin(fmax(share, DEVIATION_SHARE_LEAST), DEVIATION_SHARE_MOST);
}

static dw_status draws_room(const dw__problem *problem, dw_shelf *shelf, dw_error *err) {
  for (size_t m = 0; m < problem->n_materials; m++) {
    dw_spectra **draws = m == 0 ? &shelf->base_draws : &shelf->bottle[problem->shelf_index[m]].draws;
    if (!*draws) *draws = calloc(DW_DRAWS, sizeof **draws);
    /* -fanalyzer: the shelf owns them */
    if (!*draws) return dw_fail_memory(err, "the bottles' posterior");
  }
  return DW_OK;
}

/* Both sides of every offset, so that the draws center on the fit. */
static void draws_store(const posterior *p, dw__point *trial, dw_shelf *shelf) {
  for (size_t d = 0; d < DW_DRAWS; d++) {
    const double *offset = p->offset + d / 2 * p->n;
    for (size_t i = 0; i < p->n; i++) trial->x[i] = p->point->x[i] + (d % 2 == 0 ? offset[i] : -offset[i]);
    dw__spectra_fill(p->problem, trial);
    shelf->base_draws[d] = trial->spectra[0];
    for (size_t m = 1; m < p->problem->n_materials; m++)
      shelf->bottle[p->problem->shelf_index[m]].draws[d] = trial->spectra[m];
  }
}

dw_status dw__posterior_draw(const dw__problem *problem, const dw__point *point, dw_shelf *shelf,
                             dw_error *err) {
  posterior p = {.problem = problem, .point = point, .n = problem->n_unknowns};
  dw__point trial;
  dw_status status = dw__point_new(problem, &trial, err);
  p.L = calloc(p.n * p.n, sizeof *p.L);
  p.offset = calloc(DW_DRAWS / 2 * p.n, sizeof *p.offset), p.scratch = calloc(p.n, sizeof *p.scratch);
  if (status == DW_OK && (!p.L || !p.offset || !p.scratch))
    status = dw_fail_memory(err, "the bottles' posterior");
  if (status == DW_OK) status = draws_room(problem, shelf, err);
  if (status == DW_OK) status = factor_make(&p, 1, err);
  if (status == DW_OK) {
    offsets_draw(&p);
    status = factor_make(&p, deviation_share(&p), err);
  }
  if (status == DW_OK) {
    offsets_draw(&p);
    draws_store(&p, &trial, shelf);
  }
  free(p.L), free(p.offset), free(p.scratch);
  dw__point_free(&trial);
  return status;
}
