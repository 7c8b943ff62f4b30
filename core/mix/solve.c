/* The solver's one door: prepare, search, round, explain. */
#include "mix/solve.h"

#include <stdlib.h>

/* The cup after the additions; drops that are nearly nothing by rounding of numbers are nothing. */
static dw_status fill_cup(const dw_cup *cup, const dw__try *t, dw_solution *out, dw_error *err) {
  out->cup = *cup;
  out->cup.volume_floz += t->clear_floz;
  out->add_clear_floz = t->clear_floz;
  for (size_t i = 0; i < t->n; i++) {
    if (t->drops[i] <= 0) continue;
    if (!dw_recipe_add(&out->add, t->bottle[i], t->drops[i]) ||
        !dw_recipe_add(&out->cup.drops, t->bottle[i], t->drops[i]))
      return dw_fail(err, DW_INTERNAL, "the solver used more than %d bottles", DW_CUP_BOTTLES_MAX);
  }
  return DW_OK;
}

static dw_status fill_prediction(const dw_shelf *shelf, const dw_slab *slab, const dw_aim *aim,
                                 const dw_rules *rules, dw_solution *out, dw_error *err) {
  dw_recipe loadings;
  dw_cup_loadings(&out->cup, &loadings);
  dw_status status = dw_predict(shelf, &loadings, slab, &out->predicted, err);
  if (status != DW_OK) return status;
  out->predicted.lab = dw_rules_carry(rules, out->predicted.lab);
  out->predicted.xyz = dw_xyz_from_lab(out->predicted.lab);
  out->de00 = dw_de00(out->predicted.lab, aim->target);
  return DW_OK;
}

dw_status dw_solve(const dw_shelf *shelf, const dw_cup *cup, const dw_slab *slab, const dw_aim *aim,
                   const dw_rules *rules, dw_solution *out, dw_error *err) {
  dw__task *task = malloc(sizeof *task);
  dw__candidate *pool = malloc(DW__POOL_MAX * sizeof *pool);
  dw__met *met = calloc(1, sizeof *met);
  dw_solution solution = {0};
  bool fits = task && pool && met;
  dw_status status = DW_OK;
  if (fits) status = dw__task_prepare(shelf, cup, slab, aim, rules, task, err);
  if (!fits || status != DW_OK) goto done;
  const size_t n = dw__subsets(task, met, pool, &fits);
  if (!fits) goto done;
  const dw__try best = dw__round(task, met, pool, n);
  dw__try nearest = best;
  for (size_t i = 0; i < n; i++)
    if (pool[i].relaxed.miss < nearest.miss) nearest = pool[i].relaxed;
  status = fill_cup(cup, &best, &solution, err);
  if (status == DW_OK) status = fill_prediction(shelf, slab, aim, rules, &solution, err);
  if (status != DW_OK) goto done;
  dw__limit(task, &best, &nearest, &solution);
  *out = solution;
done:
  if (!fits) status = dw_fail_memory(err, "the solver");
  free(met);
  free(pool);
  free(task);
  return status;
}
