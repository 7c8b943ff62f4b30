/* Strengths of bottles from measured pours. docs/mixing-model.md#learn */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "mix/fit_model.h"

enum { COLUMNS = 2 * DW_SHELF_MAX, STEPS = 12 };
#define STEP_SMALL 1e-4 /* of ln strength */
#define SLOPE_STEP 0.01 /* ditto, for the derivative by central differences */

/* ln strengths x of every bottle, then of its earlier lot, from all pours at once. */
typedef struct learning {
  dw_shelf *shelf; /* a copy with all strengths 1 */
  const dw_chip *pours;
  size_t n, columns;
  double prior_sd[COLUMNS];
  double x[COLUMNS];
} learning;

static size_t column_of(const learning *l, const dw_chip *pour, size_t bottle) {
  return bottle + (pour->old_lots >> bottle & 1 ? l->shelf->n : 0);
}

/* Predicted color with one column's ln strength moved by `move`. */
static dw_lab pour_lab(const learning *l, const dw_chip *pour, size_t column, double move) {
  double c[DW_SHELF_MAX] = {0};
  const dw_slab slab = {pour->thickness_mm, pour->backing};
  for (size_t i = 0; i < pour->recipe.n; i++) {
    const dw_part *part = &pour->recipe.part[i];
    size_t at = column_of(l, pour, part->bottle);
    c[part->bottle] += part->amount * exp(l->x[at] + (at == column ? move : 0));
  }
  return dw_predict_lab(l->shelf, c, &slab);
}

static void turn(const double metric[9], dw_lab from, dw_lab to, double scale, double out[3]) {
  const double d[3] = {to.L - from.L, to.a - from.a, to.b - from.b};
  for (int r = 0; r < 3; r++)
    out[r] = scale * (metric[3 * r] * d[0] + metric[3 * r + 1] * d[1] + metric[3 * r + 2] * d[2]);
}

/* Adds one pour to H (columns x columns, lower triangle) and g. */
static void pour_add(const learning *l, const dw_chip *pour, double *H, double *g) {
  double metric[9], r[3], J[DW_CUP_BOTTLES_MAX][3];
  size_t column[DW_CUP_BOTTLES_MAX];
  double scale = 1 / (pour->sd_de00 > 0 ? pour->sd_de00 : DW_POUR_SD_DE00);
  dw_de00_metric(pour->lab, metric);
  turn(metric, pour_lab(l, pour, COLUMNS, 0), pour->lab, scale, r);
  for (size_t i = 0; i < pour->recipe.n; i++) {
    column[i] = column_of(l, pour, pour->recipe.part[i].bottle);
    turn(metric, pour_lab(l, pour, column[i], -SLOPE_STEP), pour_lab(l, pour, column[i], SLOPE_STEP),
         scale / (2 * SLOPE_STEP), J[i]);
  }
  for (size_t i = 0; i < pour->recipe.n; i++) {
    g[column[i]] += J[i][0] * r[0] + J[i][1] * r[1] + J[i][2] * r[2];
    for (size_t j = 0; j < pour->recipe.n; j++)
      if (column[j] <= column[i])
        H[column[i] * l->columns + column[j]] += J[i][0] * J[j][0] + J[i][1] * J[j][1] + J[i][2] * J[j][2];
  }
}

static void equations_fill(const learning *l, double *H, double *g) {
  memset(H, 0, l->columns * l->columns * sizeof *H), memset(g, 0, l->columns * sizeof *g);
  for (size_t i = 0; i < l->n; i++) pour_add(l, &l->pours[i], H, g);
  for (size_t c = 0; c < l->columns; c++) {
    double precision = 1 / (l->prior_sd[c] * l->prior_sd[c]);
    H[c * l->columns + c] += precision;
    g[c] -= precision * l->x[c];
  }
}

/* Gauss-Newton; H is left as its Cholesky factor at the answer. The prior is narrow enough that full steps,
 * held within three of its deviations, converge. */
static dw_status learning_solve(learning *l, double *H, double *g, dw_error *err) {
  for (int step = 0; step < STEPS; step++) {
    double largest = 0;
    equations_fill(l, H, g);
    dw_status status = dw_cholesky(H, l->columns, err);
    if (status != DW_OK) return status;
    dw_cholesky_solve(H, l->columns, g, 1);
    for (size_t c = 0; c < l->columns; c++) {
      double bound = 3 * l->prior_sd[c];
      l->x[c] += fmin(fmax(g[c], -bound), bound);
      largest = fmax(largest, fabs(g[c]));
    }
    if (largest < STEP_SMALL) break;
  }
  return DW_OK;
}

static void bottle_words(const char *id, dw_learned_bottle *out) {
  double ln = log(out->strength);
  out->words[0] = 0;
  if (out->pours == 0 || fabs(ln) <= 2 * out->sd) return;
  snprintf(out->words, sizeof out->words, "%s runs %.0f%% %s than its chips said", id,
           100 * fabs(out->strength - 1), ln > 0 ? "stronger" : "weaker");
}

static double mean_de00(const learning *l) {
  double sum = 0;
  for (size_t i = 0; i < l->n; i++)
    sum += dw_de00(l->pours[i].lab, pour_lab(l, &l->pours[i], COLUMNS, 0)) / (double)l->n;
  return sum;
}

static void learned_fill(const learning *l, const double *L, double *unit, dw_learned *out) {
  out->n = l->shelf->n;
  for (size_t b = 0; b < out->n; b++) {
    dw_learned_bottle *bottle = &out->bottle[b];
    memset(unit, 0, l->columns * sizeof *unit);
    unit[b] = 1;
    dw_cholesky_solve(L, l->columns, unit, 1);
    bottle->strength = exp(l->x[b]), bottle->sd = sqrt(unit[b]);
    for (size_t i = 0; i < l->n; i++)
      for (size_t p = 0; p < l->pours[i].recipe.n; p++)
        bottle->pours += column_of(l, &l->pours[i], l->pours[i].recipe.part[p].bottle) == b;
    bottle_words(l->shelf->bottle[b].id, bottle);
  }
}

static dw_status learning_new(const dw_shelf *shelf, const dw_chip *pours, size_t n, uint64_t new_lots,
                              learning *l, dw_error *err) {
  memset(l, 0, sizeof *l);
  l->pours = pours, l->n = n, l->columns = 2 * shelf->n;
  for (size_t i = 0; i < n; i++) {
    dw_status status = dw__chip_check(&pours[i], shelf->n, i + 1, err);
    if (status != DW_OK) return status;
  }
  for (size_t b = 0; b < shelf->n; b++) {
    bool new_lot = new_lots >> b & 1;
    l->prior_sd[b] = new_lot ? DW_STRENGTH_PRIOR_SD_NEW_LOT : DW_STRENGTH_PRIOR_SD;
    l->prior_sd[shelf->n + b] = DW_STRENGTH_PRIOR_SD;
  }
  dw_status status = dw_shelf_clone(shelf, &l->shelf, err);
  for (size_t b = 0; status == DW_OK && b < shelf->n; b++) l->shelf->bottle[b].strength = 1;
  return status;
}

dw_status dw_strengths_learn(const dw_shelf *shelf, const dw_chip *pours, size_t n, uint64_t new_lots,
                             dw_learned *out, dw_error *err) {
  learning l;
  double *H = NULL, *g = NULL;
  dw_learned learned;
  if (n == 0) return dw_fail(err, DW_TOO_FEW, "There is no measured pour to learn from: log one.");
  memset(&learned, 0, sizeof learned);
  dw_status status = learning_new(shelf, pours, n, new_lots, &l, err);
  if (status == DW_OK) {
    H = calloc(l.columns * l.columns + 1, sizeof *H), g = calloc(l.columns + 1, sizeof *g);
    if (!H || !g) status = dw_fail_memory(err, "the strengths");
  }
  if (status == DW_OK) {
    learned.before_de00 = mean_de00(&l);
    status = learning_solve(&l, H, g, err);
  }
  if (status == DW_OK) {
    learned.after_de00 = mean_de00(&l);
    learned_fill(&l, H, g, &learned);
    *out = learned;
  }
  free(H), free(g);
  dw_shelf_free(l.shelf);
  return status;
}

void dw_strengths_apply(dw_shelf *shelf, const dw_learned *learned) {
  for (size_t b = 0; b < shelf->n && b < learned->n; b++) {
    shelf->bottle[b].strength = learned->bottle[b].strength;
    shelf->bottle[b].strength_sd = learned->bottle[b].pours > 0 ? learned->bottle[b].sd : 0;
  }
}

void dw_rules_measured(dw_rules *rules, dw_lab predicted, dw_lab measured) {
  rules->offset_at = predicted;
  rules->offset = (dw_lab){measured.L - predicted.L, measured.a - predicted.a, measured.b - predicted.b};
}
