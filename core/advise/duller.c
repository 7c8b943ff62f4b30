/* The aim of a cup that is to be duller by a share of its chroma. */
#include "advise/prepare.h"

#include <math.h>

/* How much darker, in L*, a cup may become by dulling. Brown darkens what it dulls (common practice, no
 * source), so the aim is as dark as brown leaves it; beyond this an opposite color is the better way. */
#define DARKER_MOST 10.0
#define LIGHTNESS_WEIGHT 0.1 /* as dw_plugin_aim_duller */

/* Lightness after dulling with brown and the cup's own bottles; that of now when it can't be done. */
static double browned(const dw__case *c, size_t i, dw_lab now) {
  const dw_shelf *shelf = c->request->shelf;
  const dw_cup *cup = &c->cup[i];
  dw_rules rules = c->rules[i];
  dw_aim aim = dw_aim_dull(now, c->request->chroma_share);
  dw_solution solution;
  aim.weight_lightness = LIGHTNESS_WEIGHT;
  rules.max_clear_floz = 0;
  for (size_t b = 0; b < shelf->n; b++)
    if (shelf->bottle[b].role != DW_ROLE_BROWN && !(dw_recipe_amount(&cup->drops, b) > 0))
      rules.use[b] = DW_USE_NEVER;
  if (dw_solve(shelf, cup, &c->request->slab, &aim, &rules, &solution, NULL) != DW_OK) return now.L;
  return solution.predicted.lab.L;
}

dw_lab dw__case_duller(const dw__case *c, size_t i) {
  const dw_layer *layer = &c->request->layer[i];
  const bool poured = layer->cup.drops.n > 0;
  const dw_lab from = poured || layer->has_measured ? c->state[i].now : layer->target;
  const double keep = 1 - c->request->chroma_share;
  dw_lab aim = {from.L, from.a * keep, from.b * keep};
  if (poured) aim.L = fmax(fmin(from.L, browned(c, i, from)), from.L - DARKER_MOST);
  return aim;
}
