/* The solver's one door: prepare, search, round, explain. */
#include "mix/solve.h"

#include <stdlib.h>

/* The cup after the additions; drops that are nearly nothing by rounding of numbers are nothing. */
static pt_status fill_cup(const pt_cup *cup, const pt__try *t, pt_solution *out, pt_error *err) {
  out->cup = *cup;
  out->cup.volume_floz += t->clear_floz;
  out->add_clear_floz = t->clear_floz;
  for (size_t i = 0; i < t->n; i++) {
    if (t->drops[i] <= 0) continue;
    if (!pt_recipe_add(&out->add, t->bottle[i], t->drops[i]) ||
        !pt_recipe_add(&out->cup.drops, t->bottle[i], t->drops[i]))
      return pt_fail(err, PT_INTERNAL, "the solver used more than %d bottles", PT_CUP_BOTTLES_MAX);
  }
  return PT_OK;
}

static pt_status fill_prediction(const pt_shelf *shelf, const pt_slab *slab, const pt_aim *aim,
                                 const pt_rules *rules, pt_solution *out, pt_error *err) {
  pt_recipe loadings;
  pt_cup_loadings(&out->cup, &loadings);
  pt_status status = pt_predict(shelf, &loadings, slab, &out->predicted, err);
  if (status != PT_OK) return status;
  out->predicted.lab = pt_rules_carry(rules, out->predicted.lab);
  out->predicted.xyz = pt_xyz_from_lab(out->predicted.lab);
  out->de00 = pt_de00(out->predicted.lab, aim->target);
  return PT_OK;
}

pt_status pt_solve(const pt_shelf *shelf, const pt_cup *cup, const pt_slab *slab, const pt_aim *aim,
                   const pt_rules *rules, pt_solution *out, pt_error *err) {
  pt__task *task = malloc(sizeof *task);
  pt__candidate *pool = malloc(PT__POOL_MAX * sizeof *pool);
  pt__met *met = calloc(1, sizeof *met);
  pt_solution solution = {0};
  bool fits = task && pool && met;
  pt_status status = PT_OK;
  if (fits) status = pt__task_prepare(shelf, cup, slab, aim, rules, task, err);
  if (!fits || status != PT_OK) goto done;
  const size_t n = pt__subsets(task, met, pool, &fits);
  if (!fits) goto done;
  const pt__try best = pt__round(task, met, pool, n);
  pt__try nearest = best;
  for (size_t i = 0; i < n; i++)
    if (pool[i].relaxed.miss < nearest.miss) nearest = pool[i].relaxed;
  status = fill_cup(cup, &best, &solution, err);
  if (status == PT_OK) status = fill_prediction(shelf, slab, aim, rules, &solution, err);
  if (status != PT_OK) goto done;
  pt__limit(task, &best, &nearest, &solution);
  *out = solution;
done:
  if (!fits) status = pt_fail_memory(err, "the solver");
  free(met);
  free(pool);
  free(task);
  return status;
}
