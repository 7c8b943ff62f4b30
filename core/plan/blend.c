/* The color where two layers mix: K and S add by volume, and what was measured of the cups is carried on. */
#include "dropwise/plan_blend.h"

#include "plan/blend.h"

#include <math.h>

const double dw_blend_shares[DW_BLEND_STEPS] = {0.25, 0.5, 0.75};

/* ---- one layer ------------------------------------------------------------------------------------------
 */

static dw_lab minus(dw_lab a, dw_lab b) {
  return (dw_lab){a.L - b.L, a.a - b.a, a.b - b.b};
}

dw_status dw_blend_cup(const dw_shelf *shelf, const dw_slab *slab, const dw_cup *cup, const dw_lab *measured,
                       dw_blend_layer *out, dw_error *err) {
  dw_recipe loadings;
  dw_prediction predicted;
  if (!(cup->volume_floz > 0)) return dw_fail(err, DW_BAD_INPUT, "a cup without clear base has no color");
  dw_cup_loadings(cup, &loadings);
  dw_status status = dw_predict(shelf, &loadings, slab, &predicted, err);
  if (status != DW_OK) return status;
  out->cup = *cup;
  out->loadings = loadings;
  out->guessed = false;
  out->offset = measured ? minus(*measured, predicted.lab) : (dw_lab){0};
  out->offset_at = predicted.lab;
  return DW_OK;
}

dw_status dw_blend_cup_then(const dw_shelf *shelf, const dw_slab *slab, const dw_blend_layer *now,
                            const dw_cup *cup, dw_blend_layer *out, dw_error *err) {
  dw_blend_layer then = *now;
  dw_status status = dw_blend_cup(shelf, slab, cup, NULL, &then, err);
  if (status != DW_OK) return status;
  then.offset = now->offset;
  then.offset_at = now->offset_at;
  *out = then;
  return DW_OK;
}

/* ---- a blend ----------------------------------------------------------------------------------------------
 */

/* Loadings are per volume of clear base, so those of the blend lie on the line between. */
static dw_status blended_loadings(const dw_blend_layer *first, const dw_blend_layer *second, double share,
                                  dw_recipe *out, dw_error *err) {
  const dw_blend_layer *layer[2] = {first, second};
  const double part[2] = {1 - share, share};
  *out = (dw_recipe){0};
  for (int i = 0; i < 2; i++)
    for (size_t j = 0; part[i] > 0 && j < layer[i]->loadings.n; j++) {
      const dw_part *drops = &layer[i]->loadings.part[j];
      if (!dw_recipe_add(out, drops->bottle, part[i] * drops->amount))
        return dw_fail(err, DW_BAD_INPUT,
                       "the two layers have more than %d bottles together, too many for their blend",
                       DW_CUP_BOTTLES_MAX);
    }
  return DW_OK;
}

static dw_lab carried(const dw_blend_layer *layer, dw_lab predicted) {
  dw_rules rules = {.offset = layer->offset, .offset_at = layer->offset_at};
  return minus(dw_rules_carry(&rules, predicted), predicted);
}

static dw_lab carry_both(const dw_blend_layer *first, const dw_blend_layer *second, double share,
                         dw_lab lab) {
  dw_lab a = carried(first, lab), b = carried(second, lab);
  return (dw_lab){fmax(0, lab.L + (1 - share) * a.L + share * b.L), lab.a + (1 - share) * a.a + share * b.a,
                  lab.b + (1 - share) * a.b + share * b.b};
}

static dw_status blend_color(const dw_shelf *shelf, const dw_slab *slab, const dw_blend_layer *first,
                             const dw_blend_layer *second, double share, dw_prediction *out, dw_error *err) {
  dw_recipe loadings;
  dw_status status = blended_loadings(first, second, share, &loadings, err);
  if (status == DW_OK) status = dw_predict(shelf, &loadings, slab, out, err);
  if (status != DW_OK) return status;
  out->lab = carry_both(first, second, share, out->lab);
  out->xyz = dw_xyz_from_lab(out->lab);
  return DW_OK;
}

dw_status dw_blend_at(const dw_shelf *shelf, const dw_slab *slab, const dw_blend_layer *first,
                      const dw_blend_layer *second, double share, dw_prediction *out, dw_error *err) {
  dw_prediction p;
  double doubt = 0;
  if (!(share >= 0 && share <= 1))
    return dw_fail(err, DW_BAD_INPUT, "a share of %g is out of range: give 0 to 1", share);
  dw_status status = blend_color(shelf, slab, first, second, share, &p, err);
  for (int i = 0; status == DW_OK && i < 2 && (first->guessed || second->guessed); i++) {
    dw_prediction other;
    status = blend_color(shelf, slab, first, second, dw__share_at_strength(share, i ? 0.5 : 2), &other, err);
    if (status == DW_OK) doubt = fmax(doubt, dw_de00(p.lab, other.lab));
  }
  if (status != DW_OK) return status;
  p.uncertainty_de00 = hypot(p.uncertainty_de00, doubt);
  *out = p;
  return DW_OK;
}

/* ---- what it means ----------------------------------------------------------------------------------------
 */

static double chroma(dw_lab lab) {
  return hypot(lab.a, lab.b);
}

static void judge_chroma(dw_blend *blend) {
  const double c0 = chroma(blend->end[0].lab), c1 = chroma(blend->end[1].lab), lower = fmin(c0, c1);
  for (int i = 0; i < DW_BLEND_STEPS; i++) {
    const double share = dw_blend_shares[i], c = chroma(blend->step[i].lab);
    const double even = (1 - share) * c0 + share * c1;
    blend->chroma_kept[i] = even > DW_MUDDY_CHROMA ? c / even : 1;
    if (lower > 0) blend->dull_share = fmax(blend->dull_share, 1 - c / lower);
    blend->muddy |= lower - c >= fmax(DW_MUDDY_CHROMA, DW_MUDDY_SHARE * lower);
  }
}

static dw_overpowers overpowering(const dw_blend *blend) {
  const double more = blend->end[0].see_through - blend->end[1].see_through;
  if (fabs(more) <= DW_OPACITY_GAP) return DW_OVERPOWERS_NONE;
  return more > 0 ? DW_OVERPOWERS_FIRST : DW_OVERPOWERS_SECOND;
}

dw_status dw_blend_between(const dw_shelf *shelf, const dw_slab *slab, const dw_blend_layer *first,
                           const dw_blend_layer *second, dw_blend *out, dw_error *err) {
  dw_blend blend = {0};
  dw_status status = dw_blend_at(shelf, slab, first, second, 0, &blend.end[0], err);
  if (status == DW_OK) status = dw_blend_at(shelf, slab, first, second, 1, &blend.end[1], err);
  for (int i = 0; status == DW_OK && i < DW_BLEND_STEPS; i++)
    status = dw_blend_at(shelf, slab, first, second, dw_blend_shares[i], &blend.step[i], err);
  if (status != DW_OK) return status;
  judge_chroma(&blend);
  blend.overpowers = overpowering(&blend);
  *out = blend;
  return DW_OK;
}

/* ---- a whole bait -----------------------------------------------------------------------------------------
 */

void dw_blend_note(const dw_blends *blends, size_t i, dw_notes *notes) {
  const dw_blend *blend = &blends->between[i];
  const char *name[2] = {blends->layer[i].name, blends->layer[i + 1].name};
  if (blend->muddy)
    dw_note(notes, "%s and %s turn muddy where they meet: the blend is up to %.0f%% duller than either.",
            name[0], name[1], 100 * blend->dull_share);
  if (blend->overpowers == DW_OVERPOWERS_NONE) return;
  const int strong = (int)blend->overpowers;
  dw_note(notes, "%s drowns %s: contrast ratio %.2f beside %.2f.", name[strong], name[!strong],
          blend->end[strong].see_through, blend->end[!strong].see_through);
}

dw_status dw_blends_work(const dw_shelf *shelf, dw_blends *blends, dw_error *err) {
  const char *warning = dw_shelf_warning(shelf);
  dw_status status = DW_OK;
  if (blends->n < 2 || blends->n > DW_BLEND_LAYERS_MAX)
    return dw_fail(err, DW_TOO_FEW, "a blend needs 2 to %d layers", DW_BLEND_LAYERS_MAX);
  blends->notes = (dw_notes){0};
  if (warning) dw_note(&blends->notes, "%s", warning);
  for (size_t i = 0; status == DW_OK && i + 1 < blends->n; i++) {
    const dw_blend_layer *first = &blends->layer[i], *second = first + 1;
    status = dw_blend_between(shelf, &blends->slab, first, second, &blends->between[i], err);
    if (status == DW_OK)
      status = dw_blend_evening(shelf, &blends->slab, &blends->rules, first, second, &blends->between[i],
                                &blends->even[i], err);
    if (status == DW_OK) dw_blend_note(blends, i, &blends->notes);
  }
  for (size_t i = 0; i < blends->n; i++)
    if (blends->layer[i].guessed)
      dw_note(&blends->notes, "%s is known by its color alone, so its blends are estimates.",
              blends->layer[i].name);
  return status;
}

dw_status dw_blends_over(const dw_shelf *shelf, const dw_blends *blends, double backing, dw_blends *out,
                         dw_error *err) {
  dw_status status = DW_OK;
  *out = *blends;
  out->slab.backing = backing;
  out->notes = (dw_notes){0};
  for (size_t i = 0; status == DW_OK && i + 1 < out->n; i++) {
    out->even[i] = (dw_blend_even){0};
    status = dw_blend_between(shelf, &out->slab, &out->layer[i], &out->layer[i + 1], &out->between[i], err);
  }
  return status;
}
