/* A layer known by its color alone. What it is made of can't be told from three numbers: how strongly it is
 * colored decides which of two layers leads in their blend. So drops of the shelf that come nearest stand in,
 * what they miss is carried as if measured, and a strength of half to twice that is taken into the doubt. */
#include "dropwise/plan_blend.h"

#include "plan/blend.h"

#define STEP_ML 0.0025 /* fine enough that no rounding shows */
#define VOLUME_FLOZ 4.0

double dw__share_at_strength(double share, double times) {
  return times * share / (1 - share + times * share);
}

dw_status dw_blend_color(const dw_shelf *shelf, const dw_slab *slab, dw_lab color, dw_blend_layer *out,
                         dw_error *err) {
  const dw_cup empty = {.volume_floz = VOLUME_FLOZ, .capacity_floz = 2 * VOLUME_FLOZ};
  const dw_aim aim = dw_aim_nearest(color);
  dw_rules rules = dw_rules_default();
  dw_solution nearest;
  rules.step_drops = 0;
  rules.step_ml = STEP_ML;
  dw_status status = dw_solve(shelf, &empty, slab, &aim, &rules, &nearest, err);
  if (status == DW_OK) status = dw_blend_cup(shelf, slab, &nearest.cup, &color, out, err);
  if (status == DW_OK) out->guessed = true;
  return status;
}
