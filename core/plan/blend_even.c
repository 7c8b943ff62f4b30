/* What evens a layer that drowns its neighbor: it made clearer, or the neighbor more opaque. */
#include "dropwise/plan_blend.h"

#include <math.h>

#define INSIDE 0.05 /* the aim lies so much within the gap, so that whole drops still reach it */

/* The change of one cup. level  the contrast ratio it is to have; other  its neighbor's */
static dw_status change(const dw_shelf *shelf, const dw_slab *slab, const dw_rules *limits,
                        const dw_blend_layer *layer, const dw_prediction *now, double level, double other,
                        dw_blend_even *out, dw_error *err) {
  dw_rules rules = *limits;
  const dw_aim aim = dw_aim_see_through(now->lab, level);
  rules.offset = layer->offset;
  rules.offset_at = layer->offset_at;
  dw_status status = dw_solve(shelf, &layer->cup, slab, &aim, &rules, &out->solution, err);
  if (status != DW_OK) return status;
  const double gap = fabs(out->solution.predicted.see_through - other);
  out->found = gap < fabs(now->see_through - other) - 0.01;
  out->reached = gap <= DW_OPACITY_GAP;
  out->moved_de00 = dw_de00(now->lab, out->solution.predicted.lab);
  return DW_OK;
}

static bool better(const dw_blend_even *a, const dw_blend_even *b) {
  if (a->found != b->found) return a->found;
  if (a->reached != b->reached) return a->reached;
  return a->moved_de00 < b->moved_de00;
}

dw_status dw_blend_evening(const dw_shelf *shelf, const dw_slab *slab, const dw_rules *rules,
                           const dw_blend_layer *first, const dw_blend_layer *second, const dw_blend *blend,
                           dw_blend_even *out, dw_error *err) {
  const dw_blend_layer *layer[2] = {first, second};
  *out = (dw_blend_even){0};
  for (int i = 0; i < 2 && blend->overpowers != DW_OVERPOWERS_NONE; i++) {
    const double other = blend->end[!i].see_through, gap = DW_OPACITY_GAP - INSIDE;
    dw_blend_even way = {.layer = i};
    dw_error refused = {0};
    if (layer[i]->guessed) continue;
    dw_status status = change(shelf, slab, rules, layer[i], &blend->end[i],
                              i == (int)blend->overpowers ? other + gap : other - gap, other, &way, &refused);
    if (status == DW_BAD_INPUT) continue; /* a full cup, or nothing that may go into it */
    if (status != DW_OK) return dw_fail(err, status, "%s", refused.text);
    if (better(&way, out)) *out = way;
  }
  return DW_OK;
}
