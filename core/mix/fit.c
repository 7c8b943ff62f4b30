/* Bottles from chips: the search, the answer put on a shelf, the report. docs/mixing-model.md#fit */
#include "dropwise/fit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "mix/fit_model.h"

enum { STEPS_COARSE = 10, STEPS_FINE = 40, STEPS_REWEIGHTED = 4, REWEIGHTINGS = 8 };
/* The first steps trust the chips this little: the smooth prior then leads every start, fresh or refined,
 * into the same valley. */
#define TRUST_COARSE 0.03
#define GAIN_COARSE 0.2 /* cost: the first steps need no more than the right valley */
/* A fifth of a deviation in one residual: no color moves by more than some hundredths after that. */
#define GAIN_FINE 0.05
/* A chip counts fully while its residual, in deviations, is within the 99th percentile of chi-squared with 3
 * degrees of freedom (11.34); beyond that its weight falls as the fourth power of its distance, so that a
 * gross slip has next to no pull. */
#define OUTLIER_SQUARE 11.34
#define MEDIAN_SQUARE 2.366 /* median of the same distribution */

/* Two valleys are worth a look: chips in wet contact and chips over air. */
static const dw_surface surface_starts[] = {{.k2 = 0.60, .gap = 0.05}, {.k2 = 0.50, .gap = 0.60}};
enum { STARTS = sizeof surface_starts / sizeof *surface_starts };

static void surface_set(const dw__problem *problem, dw__point *point, dw_surface surface) {
  point->x[problem->n_unknowns - 2] = surface.k2;
  point->x[problem->n_unknowns - 1] = surface.gap;
}

/* The better of the valleys, from the prior's mean. */
static dw_status start_fresh(const dw__problem *problem, const dw_shelf *shelf, dw__point *best,
                             size_t *steps, dw_error *err) {
  dw__point trial;
  dw_status status = dw__point_new(problem, &trial, err);
  size_t starts = problem->surface_free ? STARTS : 1;
  best->cost = INFINITY;
  for (size_t s = 0; status == DW_OK && s < starts; s++) {
    memset(trial.x, 0, problem->n_unknowns * sizeof *trial.x);
    surface_set(problem, &trial, problem->surface_free ? surface_starts[s] : shelf->surface);
    status = dw__fit_descend(problem, STEPS_COARSE, GAIN_COARSE, &trial, steps, err);
    if (status == DW_OK && trial.cost < best->cost) dw__point_copy(problem, &trial, best);
  }
  dw__point_free(&trial);
  return status;
}

static void curve_load(const dw__basis *basis, const double *values, double mean, double *u) {
  double curve[DW_BANDS];
  for (size_t i = 0; i < DW_BANDS; i++) curve[i] = log(fmax(values[i], DW__KM_FLOOR)) - mean;
  dw__basis_project(basis, curve, u);
}

/* The shelf's fitted bottles as the starting point; others start from the prior's mean. */
static void start_refine(const dw__problem *problem, const dw_shelf *shelf, dw__point *out) {
  memset(out->x, 0, problem->n_unknowns * sizeof *out->x);
  for (size_t m = 0; m < problem->n_materials; m++) {
    const dw_bottle *bottle = m == 0 ? NULL : &shelf->bottle[problem->shelf_index[m]];
    if (bottle && bottle->origin != DW_ORIGIN_FITTED) continue;
    const dw_spectra *spectra = bottle ? &bottle->spectra : &shelf->base;
    double *u = out->x + m * problem->per_material;
    curve_load(&problem->bk, spectra->k, dw__mean_ln_k(m), u);
    curve_load(&problem->bs, spectra->s, dw__mean_ln_s(m), u + problem->bk.rank);
  }
  surface_set(problem, out, shelf->surface);
}

/* Gives every chip the weight its residual deserves, against the typical one. */
static dw_status reweight(dw__problem *problem, const dw__point *point, bool *changed, dw_error *err) {
  double *square = malloc(2 * problem->n * sizeof *square);
  if (!square) return dw_fail_memory(err, "the chips' weights");
  double *sorted = square + problem->n;
  for (size_t i = 0; i < problem->n; i++) {
    double r[3];
    dw__chip_residual(problem, &problem->chip[i], point, r, NULL);
    square[i] = sorted[i] = r[0] * r[0] + r[1] * r[1] + r[2] * r[2];
  }
  double limit = OUTLIER_SQUARE * fmax(1, dw_median(sorted, problem->n) / MEDIAN_SQUARE);
  *changed = false;
  for (size_t i = 0; i < problem->n; i++) {
    dw__fit_chip *chip = &problem->chip[i];
    double share = square[i] > limit ? limit / square[i] : 1, weight = chip->clip_weight * share * share;
    *changed |= fabs(weight - chip->weight) > 0.02;
    chip->weight = weight;
  }
  free(square);
  return DW_OK;
}

/* Steps and weights in turn until the weights stand still. */
static dw_status settle(dw__problem *problem, double gain_least, dw__point *point, size_t *steps,
                        dw_error *err) {
  bool changed = true;
  dw_status status = DW_OK;
  for (int i = 0; status == DW_OK && changed && i < REWEIGHTINGS; i++) {
    status = dw__fit_descend(problem, STEPS_REWEIGHTED, gain_least, point, steps, err);
    if (status == DW_OK) status = reweight(problem, point, &changed, err);
  }
  return status == DW_OK ? dw__fit_descend(problem, STEPS_FINE, gain_least, point, steps, err) : status;
}

static dw_status search(dw__problem *problem, const dw_shelf *shelf, dw_fit_start start, dw__point *point,
                        size_t *steps, dw_error *err) {
  dw_status status = DW_OK;
  problem->trust = TRUST_COARSE;
  if (start == DW_FIT_REFINE)
    start_refine(problem, shelf, point);
  else
    status = start_fresh(problem, shelf, point, steps, err);
  if (status == DW_OK) status = settle(problem, GAIN_COARSE, point, steps, err);
  problem->trust = 1;
  return status == DW_OK ? settle(problem, GAIN_FINE, point, steps, err) : status;
}

static double largest_loading(const dw__problem *problem, size_t material) {
  double most = 0;
  for (size_t i = 0; i < problem->n; i++)
    for (size_t p = 0; p < problem->chip[i].n; p++)
      if (problem->chip[i].material[p] == material) most = fmax(most, problem->chip[i].loading[p]);
  return most;
}

static void shelf_fill(const dw__problem *problem, const dw__point *point, dw_shelf *shelf) {
  shelf->base = point->spectra[0];
  shelf->surface = dw__point_surface(problem, point->x);
  for (size_t m = 1; m < problem->n_materials; m++) {
    dw_bottle *bottle = &shelf->bottle[problem->shelf_index[m]];
    bottle->spectra = point->spectra[m];
    bottle->origin = DW_ORIGIN_FITTED;
    bottle->strength = 1, bottle->strength_sd = 0;
    bottle->max_loading = largest_loading(problem, m);
  }
  for (size_t m = 1; m < problem->n_materials; m++) {
    size_t at = (size_t)problem->shelf_index[m];
    if (shelf->bottle[at].role != DW_ROLE_EFFECT) /* which no chip shows */
      shelf->bottle[at].role = dw_bottle_role_guess(shelf, at, shelf->bottle[at].max_loading);
  }
}

static void chips_report(const dw__problem *problem, const dw__point *point, dw_fit *fit) {
  double weight = 0;
  for (size_t i = 0; i < problem->n; i++) {
    const dw__fit_chip *chip = &problem->chip[i];
    dw_lab lab = dw__chip_lab(problem, chip, point);
    fit->chip[i] = (dw_chip_report){dw_de00(chip->lab, lab), chip->weight};
    if (fit->chip[i].de00 > fit->max_de00) fit->max_de00 = fit->chip[i].de00, fit->worst = i;
    fit->mean_de00 += chip->weight * fit->chip[i].de00, weight += chip->weight;
  }
  if (weight > 0) fit->mean_de00 /= weight;
}

static dw_status fit_new(const dw_shelf *shelf, size_t n, dw_fit **out, dw_error *err) {
  dw_fit *fit = calloc(1, sizeof *fit);
  if (!fit) return dw_fail_memory(err, "the fit");
  fit->n = n;
  fit->chip = calloc(n, sizeof *fit->chip);
  dw_status status = fit->chip ? dw_shelf_clone(shelf, &fit->shelf, err) : dw_fail_memory(err, "the fit");
  if (status == DW_OK)
    *out = fit;
  else
    dw_fit_free(fit);
  return status;
}

dw_status dw_bottles_fit(const dw_shelf *shelf, const dw_chip *chips, size_t n, dw_fit_start start,
                         dw_fit **out, dw_error *err) {
  dw__problem problem = {0};
  dw__point point = {0};
  dw_fit *fit = NULL;
  if (n == 0) return dw_fail(err, DW_TOO_FEW, "There are no chips to fit the bottles from: measure some.");
  if (n > DW_CHIPS_MAX)
    return dw_fail(err, DW_TOO_LARGE, "%zu chips are too many: the most is %d.", n, DW_CHIPS_MAX);
  dw_status status = dw__problem_make(shelf, chips, n, &problem, err);
  if (status == DW_OK && problem.n_materials < 2)
    status = dw_fail(err, DW_TOO_FEW,
                     "These are chips of clear base alone: a fit needs chips of at least one bottle.");
  if (status == DW_OK) status = dw__point_new(&problem, &point, err);
  if (status == DW_OK) status = fit_new(shelf, n, &fit, err);
  if (status == DW_OK) status = search(&problem, shelf, start, &point, &fit->steps, err);
  if (status == DW_OK) status = dw__posterior_draw(&problem, &point, fit->shelf, err);
  if (status == DW_OK) {
    shelf_fill(&problem, &point, fit->shelf);
    chips_report(&problem, &point, fit);
    dw__fit_describe(chips, fit);
    *out = fit;
    fit = NULL;
  }
  dw_fit_free(fit);
  dw__point_free(&point);
  dw__problem_free(&problem);
  return status;
}

void dw_fit_free(dw_fit *fit) {
  if (!fit) return;
  dw_shelf_free(fit->shelf);
  free(fit->chip);
  free(fit);
}
