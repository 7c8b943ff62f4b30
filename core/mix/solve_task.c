/* A task: all that the solver needs of shelf, cup, aim and rules, worked out once. */
#include "mix/solve.h"

#include <math.h>
#include <string.h>

dw_aim dw_aim_nearest(dw_lab target) {
  return (dw_aim){
      .kind = DW_AIM_NEAREST, .target = target, .weight_lightness = 1, .weight_chroma = 1, .weight_hue = 1};
}

/* Lightness may follow where the dulling leads: a fifth of its weight keeps it from wandering off. Hue counts
 * double, because a turned hue is what gives a dulled cup away. */
dw_aim dw_aim_dull(dw_lab from, double chroma_share) {
  dw_lch lch = dw_lch_from_lab(from);
  lch.C *= 1 - chroma_share;
  dw_aim aim = dw_aim_nearest(dw_lab_from_lch(lch));
  aim.kind = DW_AIM_DULL;
  aim.weight_lightness = 0.2;
  aim.weight_hue = 2;
  return aim;
}

dw_aim dw_aim_see_through(dw_lab from, double contrast_ratio) {
  dw_aim aim = dw_aim_nearest(from);
  aim.kind = DW_AIM_SEE_THROUGH;
  aim.weight_lightness = 0.2;
  aim.see_through = contrast_ratio;
  aim.weight_see_through = 40; /* a contrast ratio 0.05 off counts as CIEDE2000 2 */
  return aim;
}

dw_rules dw_rules_default(void) {
  return (dw_rules){.step_drops = 1,
                    .step_ml = 0.1,
                    .max_drops = DW_DROPS_BY_VOLUME,
                    .max_bottles = 4,
                    .max_clear_floz = INFINITY,
                    .step_clear_floz = 0.05,
                    .drop_cost_de00 = DW_DROP_COST_DE00};
}

bool dw_bottle_free(const dw_shelf *shelf, const dw_rules *rules, size_t bottle) {
  return rules->use[bottle] == DW_USE_FREE && !shelf->bottle[bottle].off_shelf;
}

double dw_rules_max_drops(const dw_rules *rules, const dw_cup *cup) {
  if (rules->max_drops != DW_DROPS_BY_VOLUME) return rules->max_drops;
  const double rounding = 1e-3; /* 118.29412 ml are a hair more than 4 fl oz */
  const double by_volume = DW_DROPS_PER_FLOZ * cup->volume_floz;
  const double on_top = dw_recipe_total(&cup->drops) + DW_DROPS_ON_TOP_PER_FLOZ * cup->volume_floz;
  return fmin(ceil(fmax(by_volume, on_top) - rounding), DW_AMOUNT_MAX);
}

static bool lab_finite(dw_lab lab) {
  return isfinite(lab.L) && isfinite(lab.a) && isfinite(lab.b);
}

static dw_status rules_check(const dw_rules *rules, dw_error *err) {
  if (!(rules->step_drops >= 0 && rules->step_drops <= 100))
    return dw_fail(err, DW_BAD_INPUT, "steps of %g drops make no sense: give 1, 0.5, or 0 for a syringe",
                   rules->step_drops);
  if (rules->step_drops == 0 && !(rules->step_ml > 0 && rules->step_ml <= 100))
    return dw_fail(err, DW_BAD_INPUT, "syringe steps of %g ml make no sense: give 0.1 or the like",
                   rules->step_ml);
  if (!(rules->max_drops >= 0 || rules->max_drops == DW_DROPS_BY_VOLUME))
    return dw_fail(err, DW_BAD_INPUT, "a limit of %g drops makes no sense", rules->max_drops);
  if (!(rules->max_clear_floz >= 0))
    return dw_fail(err, DW_BAD_INPUT, "%g fl oz of clear base to add make no sense", rules->max_clear_floz);
  if (!(rules->step_clear_floz > 0))
    return dw_fail(err, DW_BAD_INPUT, "clear base in steps of %g fl oz makes no sense: give 0.05 or the like",
                   rules->step_clear_floz);
  if (!(rules->drop_cost_de00 >= 0 && rules->drop_cost_de00 <= 10))
    return dw_fail(err, DW_BAD_INPUT, "a drop worth %g makes no sense: give 0 to 10 CIEDE2000",
                   rules->drop_cost_de00);
  if (!lab_finite(rules->offset) || !lab_finite(rules->offset_at))
    return dw_fail(err, DW_BAD_INPUT, "the carried offset is not a color");
  return DW_OK;
}

static dw_status aim_check(const dw_aim *aim, dw_error *err) {
  if (!lab_finite(aim->target)) return dw_fail(err, DW_BAD_INPUT, "the target is not a color");
  if (!(aim->weight_lightness >= 0 && aim->weight_chroma >= 0 && aim->weight_hue >= 0 &&
        aim->weight_see_through >= 0 && aim->weight_lightness + aim->weight_chroma + aim->weight_hue <= 1e3 &&
        aim->weight_see_through <= 1e4))
    return dw_fail(err, DW_BAD_INPUT, "the weights of the aim must not be negative or huge");
  if (aim->weight_see_through > 0 && !(aim->see_through >= 0 && aim->see_through <= 1))
    return dw_fail(err, DW_BAD_INPUT, "a see-through of %g is out of range: give 0 (clear) to 1 (opaque)",
                   aim->see_through);
  return DW_OK;
}

static dw_status cup_check(const dw_shelf *shelf, const dw_cup *cup, dw_error *err) {
  if (!(cup->volume_floz > 0 && cup->volume_floz <= DW_VOLUME_MAX_FLOZ))
    return dw_fail(err, DW_BAD_INPUT, "a cup of %g fl oz can't be solved for: give its clear base, up to %d",
                   cup->volume_floz, DW_VOLUME_MAX_FLOZ);
  if (cup->drops.n > DW_CUP_BOTTLES_MAX)
    return dw_fail(err, DW_BAD_INPUT, "a cup holds at most %d bottles", DW_CUP_BOTTLES_MAX);
  for (size_t i = 0; i < cup->drops.n; i++) {
    const dw_part *part = &cup->drops.part[i];
    if (part->bottle >= shelf->n)
      return dw_fail(err, DW_BAD_INPUT, "bottle %zu of the cup is not on the shelf of %zu", part->bottle,
                     shelf->n);
    if (!(part->amount >= 0 && part->amount <= DW_AMOUNT_MAX))
      return dw_fail(err, DW_BAD_INPUT, "%g drops of %s in the cup are out of range: 0 to %d", part->amount,
                     shelf->bottle[part->bottle].id, DW_AMOUNT_MAX);
  }
  double filled = dw_cup_filled_floz(cup, shelf);
  if (!(cup->capacity_floz >= filled - 1e-9))
    return dw_fail(err, DW_BAD_INPUT,
                   "the cup already holds %.3g fl oz, base and drops, more than its capacity of %.3g", filled,
                   cup->capacity_floz);
  return DW_OK;
}

/* Bottles, their steps, and what of them is in the cup. */
static void fill_bottles(const dw_cup *cup, const dw_rules *rules, dw__task *out) {
  const dw_shelf *shelf = out->shelf;
  for (size_t i = 0; i < shelf->n; i++) {
    const dw_bottle *bottle = &shelf->bottle[i];
    dw__spectra_add(&out->per_drop[i], bottle->strength, &bottle->spectra);
    out->drop_floz[i] = bottle->drop_ml / DW_ML_PER_FLOZ;
    out->step[i] = rules->step_drops > 0 ? rules->step_drops : rules->step_ml / bottle->drop_ml;
    if (bottle->role == DW_ROLE_EFFECT) continue;
    if (dw_bottle_free(shelf, rules, i))
      out->usable |= (dw__set)1 << i;
    else
      out->set_aside |= (dw__set)1 << i;
  }
  for (size_t i = 0; i < cup->drops.n; i++) {
    const dw_part *part = &cup->drops.part[i];
    if (part->amount > 0) out->own |= (dw__set)1 << part->bottle;
    dw__spectra_add(&out->in_cup, part->amount, &out->per_drop[part->bottle]);
  }
}

static void fill_room(const dw_cup *cup, const dw_rules *rules, dw__task *out) {
  size_t own = (size_t)__builtin_popcountll(out->own);
  size_t most = rules->max_bottles < DW_CUP_BOTTLES_MAX ? rules->max_bottles : DW_CUP_BOTTLES_MAX;
  out->new_most = most > own ? most - own : 0;
  out->most_bottles = most;
  out->most_drops = dw_rules_max_drops(rules, cup);
  out->drops_in_cup = dw_recipe_total(&cup->drops);
  out->room_drops = fmax(0, out->most_drops - out->drops_in_cup);
  out->room_floz = fmax(0, cup->capacity_floz - dw_cup_filled_floz(cup, out->shelf));
  out->clear_most = own ? fmin(out->room_floz, rules->max_clear_floz) : 0;
  out->clear_step = rules->step_clear_floz;
  if (out->clear_most < out->clear_step) out->clear_most = 0;
}

dw_status dw__task_prepare(const dw_shelf *shelf, const dw_cup *cup, const dw_slab *slab, const dw_aim *aim,
                           const dw_rules *rules, dw__task *out, dw_error *err) {
  dw_prediction unused;
  dw_status status = dw_predict(shelf, &(dw_recipe){0}, slab, &unused, err);
  if (status == DW_OK) status = cup_check(shelf, cup, err);
  if (status == DW_OK) status = aim_check(aim, err);
  if (status == DW_OK) status = rules_check(rules, err);
  if (status != DW_OK) return status;
  memset(out, 0, sizeof *out);
  out->shelf = shelf;
  out->aim = *aim;
  out->drop_cost = rules->drop_cost_de00;
  out->offset = rules->offset;
  out->offset_at = rules->offset_at;
  out->volume_floz = cup->volume_floz;
  out->over_slab = dw__km_view(&shelf->surface, slab);
  out->over_black = dw__km_view(&shelf->surface, &(dw_slab){slab->thickness_mm, DW_BACKING_BLACK});
  out->over_white = dw__km_view(&shelf->surface, &(dw_slab){slab->thickness_mm, DW_BACKING_WHITE});
  for (size_t i = 0; i < 3 * DW_BANDS; i++)
    out->weights[i / DW_BANDS][i % DW_BANDS] = dw_band_xyz[i % DW_BANDS][i / DW_BANDS];
  fill_bottles(cup, rules, out);
  fill_room(cup, rules, out);
  dw_de00_metric(aim->target, out->metric);
  const double weight[3] = {aim->weight_lightness, aim->weight_chroma, aim->weight_hue};
  for (size_t i = 0; i < 9; i++) out->metric[i] *= weight[i / 3];
  if (!out->usable && out->clear_most <= 0)
    return dw_fail(err, DW_BAD_INPUT, "no bottle may be used and there is no room for clear base: allow one");
  return DW_OK;
}
