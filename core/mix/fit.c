/* Bottles from chips: the search, the answer put on a shelf, the report. docs/mixing-model.md#fit */
#include "pourtone/fit.h"

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
static const pt_surface surface_starts[] = {{.k2 = 0.60, .gap = 0.05}, {.k2 = 0.50, .gap = 0.60}};
enum { STARTS = sizeof surface_starts / sizeof *surface_starts };

static void surface_set(const pt__problem *problem, pt__point *point, pt_surface surface) {
  point->x[problem->n_unknowns - 2] = surface.k2;
  point->x[problem->n_unknowns - 1] = surface.gap;
}

/* The better of the valleys, from the prior's mean. */
static pt_status start_fresh(const pt__problem *problem, const pt_shelf *shelf, pt__point *best,
                             size_t *steps, pt_error *err) {
  pt__point trial;
  pt_status status = pt__point_new(problem, &trial, err);
  size_t starts = problem->surface_free ? STARTS : 1;
  best->cost = INFINITY;
  for (size_t s = 0; status == PT_OK && s < starts; s++) {
    memset(trial.x, 0, problem->n_unknowns * sizeof *trial.x);
    surface_set(problem, &trial, problem->surface_free ? surface_starts[s] : shelf->surface);
    status = pt__fit_descend(problem, STEPS_COARSE, GAIN_COARSE, &trial, steps, err);
    if (status == PT_OK && trial.cost < best->cost) pt__point_copy(problem, &trial, best);
  }
  pt__point_free(&trial);
  return status;
}

static void curve_load(const pt__basis *basis, const double *values, double mean, double *u) {
  double curve[PT_BANDS];
  for (size_t i = 0; i < PT_BANDS; i++) curve[i] = log(fmax(values[i], PT__KM_FLOOR)) - mean;
  pt__basis_project(basis, curve, u);
}

/* The shelf's fitted bottles as the starting point; others start from the prior's mean. */
static void start_refine(const pt__problem *problem, const pt_shelf *shelf, pt__point *out) {
  memset(out->x, 0, problem->n_unknowns * sizeof *out->x);
  for (size_t m = 0; m < problem->n_materials; m++) {
    const pt_bottle *bottle = m == 0 ? NULL : &shelf->bottle[problem->shelf_index[m]];
    if (bottle && bottle->origin != PT_ORIGIN_FITTED) continue;
    const pt_spectra *spectra = bottle ? &bottle->spectra : &shelf->base;
    double *u = out->x + m * problem->per_material;
    curve_load(&problem->bk, spectra->k, pt__mean_ln_k(m), u);
    curve_load(&problem->bs, spectra->s, pt__mean_ln_s(m), u + problem->bk.rank);
  }
  surface_set(problem, out, shelf->surface);
}

/* Gives every chip the weight its residual deserves, against the typical one. */
static pt_status reweight(pt__problem *problem, const pt__point *point, bool *changed, pt_error *err) {
  double *square = malloc(2 * problem->n * sizeof *square);
  if (!square) return pt_fail_memory(err, "the chips' weights");
  double *sorted = square + problem->n;
  for (size_t i = 0; i < problem->n; i++) {
    double r[3];
    pt__chip_residual(problem, &problem->chip[i], point, r, NULL);
    square[i] = sorted[i] = r[0] * r[0] + r[1] * r[1] + r[2] * r[2];
  }
  double limit = OUTLIER_SQUARE * fmax(1, pt_median(sorted, problem->n) / MEDIAN_SQUARE);
  *changed = false;
  for (size_t i = 0; i < problem->n; i++) {
    pt__fit_chip *chip = &problem->chip[i];
    double share = square[i] > limit ? limit / square[i] : 1, weight = chip->clip_weight * share * share;
    *changed |= fabs(weight - chip->weight) > 0.02;
    chip->weight = weight;
  }
  free(square);
  return PT_OK;
}

/* Steps and weights in turn until the weights stand still. */
static pt_status settle(pt__problem *problem, double gain_least, pt__point *point, size_t *steps,
                        pt_error *err) {
  bool changed = true;
  pt_status status = PT_OK;
  for (int i = 0; status == PT_OK && changed && i < REWEIGHTINGS; i++) {
    status = pt__fit_descend(problem, STEPS_REWEIGHTED, gain_least, point, steps, err);
    if (status == PT_OK) status = reweight(problem, point, &changed, err);
  }
  return status == PT_OK ? pt__fit_descend(problem, STEPS_FINE, gain_least, point, steps, err) : status;
}

static pt_status search(pt__problem *problem, const pt_shelf *shelf, pt_fit_start start, pt__point *point,
                        size_t *steps, pt_error *err) {
  pt_status status = PT_OK;
  problem->trust = TRUST_COARSE;
  if (start == PT_FIT_REFINE)
    start_refine(problem, shelf, point);
  else
    status = start_fresh(problem, shelf, point, steps, err);
  if (status == PT_OK) status = settle(problem, GAIN_COARSE, point, steps, err);
  problem->trust = 1;
  return status == PT_OK ? settle(problem, GAIN_FINE, point, steps, err) : status;
}

static double largest_loading(const pt__problem *problem, size_t material) {
  double most = 0;
  for (size_t i = 0; i < problem->n; i++)
    for (size_t p = 0; p < problem->chip[i].n; p++)
      if (problem->chip[i].material[p] == material) most = fmax(most, problem->chip[i].loading[p]);
  return most;
}

static void shelf_fill(const pt__problem *problem, const pt__point *point, pt_shelf *shelf) {
  shelf->base = point->spectra[0];
  shelf->surface = pt__point_surface(problem, point->x);
  for (size_t m = 1; m < problem->n_materials; m++) {
    pt_bottle *bottle = &shelf->bottle[problem->shelf_index[m]];
    bottle->spectra = point->spectra[m];
    bottle->origin = PT_ORIGIN_FITTED;
    bottle->strength = 1, bottle->strength_sd = 0;
    bottle->max_loading = largest_loading(problem, m);
  }
  for (size_t m = 1; m < problem->n_materials; m++) {
    size_t at = (size_t)problem->shelf_index[m];
    if (shelf->bottle[at].role == PT_ROLE_COLOR)
      shelf->bottle[at].role = pt_bottle_role_guess(shelf, at, shelf->bottle[at].max_loading);
  }
}

static void chips_report(const pt__problem *problem, const pt__point *point, pt_fit *fit) {
  double weight = 0;
  for (size_t i = 0; i < problem->n; i++) {
    const pt__fit_chip *chip = &problem->chip[i];
    pt_lab lab = pt__chip_lab(problem, chip, point);
    fit->chip[i] = (pt_chip_report){pt_de00(chip->lab, lab), chip->weight};
    if (fit->chip[i].de00 > fit->max_de00) fit->max_de00 = fit->chip[i].de00, fit->worst = i;
    fit->mean_de00 += chip->weight * fit->chip[i].de00, weight += chip->weight;
  }
  if (weight > 0) fit->mean_de00 /= weight;
}

static pt_status fit_new(const pt_shelf *shelf, size_t n, pt_fit **out, pt_error *err) {
  pt_fit *fit = calloc(1, sizeof *fit);
  if (!fit) return pt_fail_memory(err, "the fit");
  fit->n = n;
  fit->chip = calloc(n, sizeof *fit->chip);
  pt_status status = fit->chip ? pt_shelf_clone(shelf, &fit->shelf, err) : pt_fail_memory(err, "the fit");
  if (status == PT_OK)
    *out = fit;
  else
    pt_fit_free(fit);
  return status;
}

pt_status pt_bottles_fit(const pt_shelf *shelf, const pt_chip *chips, size_t n, pt_fit_start start,
                         pt_fit **out, pt_error *err) {
  pt__problem problem = {0};
  pt__point point = {0};
  pt_fit *fit = NULL;
  if (n == 0) return pt_fail(err, PT_TOO_FEW, "There are no chips to fit the bottles from: measure some.");
  if (n > PT_CHIPS_MAX)
    return pt_fail(err, PT_TOO_LARGE, "%zu chips are too many: the most is %d.", n, PT_CHIPS_MAX);
  pt_status status = pt__problem_make(shelf, chips, n, &problem, err);
  if (status == PT_OK && problem.n_materials < 2)
    status = pt_fail(err, PT_TOO_FEW,
                     "These are chips of clear base alone: a fit needs chips of at least one bottle.");
  if (status == PT_OK) status = pt__point_new(&problem, &point, err);
  if (status == PT_OK) status = fit_new(shelf, n, &fit, err);
  if (status == PT_OK) status = search(&problem, shelf, start, &point, &fit->steps, err);
  if (status == PT_OK) status = pt__posterior_draw(&problem, &point, fit->shelf, err);
  if (status == PT_OK) {
    shelf_fill(&problem, &point, fit->shelf);
    chips_report(&problem, &point, fit);
    pt__fit_describe(chips, fit);
    *out = fit;
    fit = NULL;
  }
  pt_fit_free(fit);
  pt__point_free(&point);
  pt__problem_free(&problem);
  return status;
}

void pt_fit_free(pt_fit *fit) {
  if (!fit) return;
  pt_shelf_free(fit->shelf);
  free(fit->chip);
  free(fit);
}
