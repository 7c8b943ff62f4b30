/* When a cup is right, and what a correction is worth. docs/mixing-model.md#stop */
#include "dropwise/correct.h"

#include <math.h>
#include <stdio.h>

/* A target without a doubt of its own shares no camera with the reading. */
static double leave_up_to(double doubt, double target_doubt) {
  const double shared = target_doubt > 0 ? DW_LEAVE_SHARED : 1;
  const double carded = fmin(DW_LEAVE_FACTOR * doubt, DW_LEAVE_CARD_MOST_DE00);
  return fmax(DW_LEAVE_LEAST_DE00, fmax(carded, shared * doubt));
}

static void word_leaving(dw_judged *judged, double target_doubt) {
  if (judged->de00 <= DW_LEAVE_LEAST_DE00)
    snprintf(judged->words, sizeof judged->words, "it is %.1f from its target, too little to correct",
             judged->de00);
  else
    snprintf(judged->words, sizeof judged->words,
             "it is %.1f from its target, and %s can't tell less than %.1f", judged->de00,
             target_doubt > 0 ? "the photos of both" : "the photo", judged->leave_de00);
}

void dw_difference_judge(double de00, double measured_doubt_de00, double target_doubt_de00, dw_judged *out) {
  const double doubt = hypot(measured_doubt_de00, target_doubt_de00);
  *out = (dw_judged){.de00 = de00, .doubt_de00 = doubt, .leave_de00 = leave_up_to(doubt, target_doubt_de00)};
  out->leave = de00 <= out->leave_de00;
  if (out->leave) word_leaving(out, target_doubt_de00);
}

double dw_hold_weight(double now_de00) {
  const double share = DW_HOLD_NEAR_DE00 / fmax(now_de00, DW_HOLD_NEAR_DE00);
  return DW_HOLD_WEIGHT * share * share;
}

void dw_correction_rules(const dw_cup *cup, dw_rules *rules) {
  if (!(dw_recipe_total(&cup->drops) > 0)) return;
  rules->drop_cost_de00 =
      DW_CORRECTION_DROP_COST_DE00 * DW_DROP_COST_FLOZ / fmax(cup->volume_floz, DW_DROP_COST_FLOZ);
}

dw_status dw_correction_prepare(const dw_shelf *shelf, const dw_cup *cup, const dw_slab *slab, dw_aim *aim,
                                dw_rules *rules, dw_error *err) {
  dw_recipe loadings;
  dw_prediction now;
  dw_correction_rules(cup, rules);
  if (!(dw_recipe_total(&cup->drops) > 0) || aim->weight_see_through > 0) return DW_OK;
  dw_cup_loadings(cup, &loadings);
  dw_status status = dw_predict(shelf, &loadings, slab, &now, err);
  if (status != DW_OK) return status;
  aim->see_through = now.see_through;
  aim->weight_see_through = dw_hold_weight(dw_de00(dw_rules_carry(rules, now.lab), aim->target));
  aim->see_through_band = DW_HOLD_BAND;
  return DW_OK;
}
