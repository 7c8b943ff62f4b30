/* Volumes per cup, loads of the injector, and what goes into every cup. */
#include "dropwise/plan.h"

#include <math.h>
#include <string.h>

/* ---- what is asked ----------------------------------------------------------------------------------------
 */

static dw_status check_extras(const dw_plan_job *job, dw_error *err) {
  if (job->n_additives > DW_PLAN_EXTRAS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "A plan holds at most %d additives.", DW_PLAN_EXTRAS_MAX);
  for (size_t i = 0; i < job->n_additives; i++)
    if (!(job->additive[i].share >= 0 && job->additive[i].share <= 1))
      return dw_fail(err, DW_BAD_INPUT, "%s at %g is out of range: give a share of the plastic from 0 to 1.",
                     job->additive[i].name, job->additive[i].share);
  return DW_OK;
}

static dw_status check_powders(const dw_plan_layer *layer, dw_error *err) {
  if (layer->n_powders > DW_PLAN_EXTRAS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "%s has more powders than %d.", layer->name, DW_PLAN_EXTRAS_MAX);
  for (size_t i = 0; i < layer->n_powders; i++) {
    const dw_powder *p = &layer->powder[i];
    const bool weighed = p->grams_floz > 0, by_spoon = p->teaspoons_floz > 0;
    if (weighed == by_spoon || !(fmax(p->grams_floz, p->teaspoons_floz) <= 100) ||
        !(p->grams_per_teaspoon >= 0))
      return dw_fail(err, DW_BAD_INPUT,
                     "%s goes by grams or by teaspoons per fl oz: give one of them, up to 100.", p->name);
  }
  return DW_OK;
}

static dw_status check_layers(const dw_plan_job *job, dw_error *err) {
  double sum = 0;
  if (job->n_layers < 1 || job->n_layers > DW_PLAN_LAYERS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "A bait has 1 to %d layers, not %zu.", DW_PLAN_LAYERS_MAX,
                   job->n_layers);
  for (size_t i = 0; i < job->n_layers; i++) {
    const dw_plan_layer *layer = &job->layer[i];
    if (!(layer->share > 0 && layer->share <= 1))
      return dw_fail(err, DW_BAD_INPUT, "%s has a share of %g: give more than 0, up to 1.", layer->name,
                     layer->share);
    if (layer->has_recipe && !job->shelf)
      return dw_fail(err, DW_BAD_INPUT, "%s has a recipe, but there is no shelf.", layer->name);
    dw_status status = check_powders(layer, err);
    if (status != DW_OK) return status;
    sum += layer->share;
  }
  if (fabs(sum - 1) > 0.01)
    return dw_fail(err, DW_BAD_INPUT, "The layers' shares add up to %.3g, not to 1.", sum);
  return DW_OK;
}

static dw_status check_molds(const dw_plan_job *job, dw_error *err) {
  double all = 0;
  if (job->n_molds < 1 || job->n_molds > DW_PLAN_MOLDS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "A plan has 1 to %d molds, not %zu.", DW_PLAN_MOLDS_MAX, job->n_molds);
  for (size_t i = 0; i < job->n_molds; i++) {
    dw_status status = dw_mold_check(&job->mold[i].mold, err);
    if (status != DW_OK) return status;
    if (job->mold[i].fills < 0)
      return dw_fail(err, DW_BAD_INPUT, "A mold can't be filled %d times.", job->mold[i].fills);
    all += job->mold[i].fills;
  }
  if (job->baits < 0 || (all == 0 && job->baits == 0))
    return dw_fail(err, DW_BAD_INPUT, "Say how often each mold is filled, or how many baits are wanted.");
  if (all > DW_PLAN_FILLS_MAX || job->baits > DW_PLAN_FILLS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "A plan is for at most %d fills.", DW_PLAN_FILLS_MAX);
  return DW_OK;
}

static dw_status check_job(const dw_plan_job *job, dw_error *err) {
  dw_status status = check_layers(job, err);
  if (status == DW_OK) status = check_molds(job, err);
  if (status == DW_OK) status = check_extras(job, err);
  if (status != DW_OK) return status;
  if (!(job->waste >= 0 && job->waste <= 1))
    return dw_fail(err, DW_BAD_INPUT, "A waste of %g is out of range: give a share from 0 to 1.", job->waste);
  if (!(job->chamber_ml >= 0 && job->cup_ml >= 0 && job->step_ml >= 0))
    return dw_fail(err, DW_BAD_INPUT, "What chambers and cups hold can't be less than 0.");
  return DW_OK;
}

/* ---- fills and loads --------------------------------------------------------------------------------------
 */

/* As stated, or each mold in turn until there are enough baits. */
static void count_fills(const dw_plan_job *job, dw_plan *out) {
  int stated = 0;
  for (size_t i = 0; i < job->n_molds; i++) stated += job->mold[i].fills;
  for (size_t i = 0; i < job->n_molds && stated; i++) {
    out->fills[i] = job->mold[i].fills;
    out->baits += out->fills[i] * job->mold[i].mold.cavities;
  }
  for (size_t i = 0; !stated && out->baits < job->baits; i = (i + 1) % job->n_molds) {
    out->fills[i]++;
    out->baits += job->mold[i].mold.cavities;
  }
  if (out->baits < job->baits)
    dw_note(&out->notes, "These fills give %d baits, not the %d wanted.", out->baits, job->baits);
}

static double largest_share(const dw_plan_job *job) {
  double most = 0;
  for (size_t i = 0; i < job->n_layers; i++) most = fmax(most, job->layer[i].share);
  return most;
}

/* Goes through the fills, each mold in turn, and begins a new load where the fullest chamber has too little.
 */
static void count_loads(const dw_plan_job *job, dw_plan *out) {
  const double share = largest_share(job), all = job->chamber_ml * (1 + 1e-9);
  int done[DW_PLAN_MOLDS_MAX] = {0}, molds_done = 0;
  double left = 0;
  for (bool more = true; more;) {
    more = false;
    for (size_t i = 0; i < job->n_molds; i++) {
      const double need = share * dw_mold_fill_ml(&job->mold[i].mold);
      if (done[i] == out->fills[i]) continue;
      if (left < need) left = all, out->loads++;
      left -= need;
      more = true;
      out->first_load_fills += out->loads == 1;
      molds_done += out->loads == 1 && done[i] == 0;
      done[i]++;
    }
  }
  int used = 0;
  for (size_t i = 0; i < job->n_molds; i++) used += out->fills[i] > 0;
  out->reaches_last = molds_done == used;
}

static void judge_loads(const dw_plan_job *job, dw_plan *out) {
  if (job->chamber_ml == 0) return;
  for (size_t i = 0; i < job->n_molds; i++) {
    const double need = largest_share(job) * dw_mold_fill_ml(&job->mold[i].mold);
    if (out->fills[i] == 0 || need <= job->chamber_ml * (1 + 1e-9)) continue;
    out->enough = false;
    dw_note(&out->notes,
            "A fill of %s takes %.0f ml from one chamber, which holds %.0f ml: it can't be filled in one go.",
            job->mold[i].mold.name, need, job->chamber_ml);
  }
  if (!out->enough) return;
  count_loads(job, out);
  if (!out->reaches_last)
    dw_note(&out->notes,
            "The first load of the injector reaches %d fill%s: it runs out before the last mold.",
            out->first_load_fills, out->first_load_fills == 1 ? "" : "s");
}

/* ---- cups -------------------------------------------------------------------------------------------------
 */

dw_status dw_recipe_scale(const dw_shelf *shelf, const dw_recipe *loadings, const dw_slab *slab,
                          double volume_floz, dw_recipe *drops, double *rounding_de00, dw_error *err) {
  dw_prediction meant, given;
  dw_recipe whole = {0};
  dw_cup cup = {.volume_floz = volume_floz};
  if (!(volume_floz > 0))
    return dw_fail(err, DW_BAD_INPUT, "A cup of %g fl oz holds no recipe.", volume_floz);
  dw_status status = dw_predict(shelf, loadings, slab, &meant, err);
  if (status != DW_OK) return status;
  for (size_t i = 0; i < loadings->n; i++) {
    const double count = round(loadings->part[i].amount * volume_floz);
    if (count > 0) dw_recipe_add(&whole, loadings->part[i].bottle, count);
  }
  cup.drops = whole;
  dw_cup_loadings(&cup, &whole);
  status = dw_predict(shelf, &whole, slab, &given, err);
  if (status != DW_OK) return status;
  *drops = cup.drops;
  if (rounding_de00) *rounding_de00 = dw_de00(meant.lab, given.lab);
  return DW_OK;
}

static void fill_extras(const dw_plan_job *job, const dw_plan_layer *layer, dw_plan_cup *cup) {
  const double floz = cup->volume_ml / DW_ML_PER_FLOZ;
  double parts = 1;
  for (size_t i = 0; i < job->n_additives; i++) parts += job->additive[i].share;
  cup->plastic_ml = cup->volume_ml / parts;
  for (size_t i = 0; i < job->n_additives; i++)
    cup->additive_ml[i] = cup->plastic_ml * job->additive[i].share;
  for (size_t i = 0; i < layer->n_powders; i++) {
    const dw_powder *powder = &layer->powder[i];
    const double known = powder->grams_per_teaspoon;
    cup->grams[i] = floz * (powder->grams_floz + powder->teaspoons_floz * known);
    cup->teaspoons[i] = floz * (powder->teaspoons_floz + (known > 0 ? powder->grams_floz / known : 0));
  }
}

/* What a person is to mind of a cup. */
static void judge_cup(const dw_plan_job *job, size_t i, dw_plan *out) {
  const dw_plan_layer *layer = &job->layer[i];
  const dw_plan_cup *cup = &out->cup[i];
  const double drops_ml = layer->has_recipe ? dw_recipe_ml(&cup->drops, job->shelf) : 0;
  if (cup->drops.n < layer->loadings.n && layer->has_recipe)
    dw_note(&out->notes, "%s is so small a cup that a bottle of its recipe comes to less than half a drop.",
            layer->name);
  if (cup->rounding_de00 > 1)
    dw_note(&out->notes, "Whole drops move the color of %s by CIEDE2000 %.1f: pour a larger cup.",
            layer->name, cup->rounding_de00);
  if (job->cup_ml == 0 || cup->volume_ml + drops_ml <= job->cup_ml * (1 + 1e-9)) return;
  out->enough = false;
  dw_note(&out->notes, "%s needs %.0f ml with its drops, but a cup holds %.0f ml.", layer->name,
          cup->volume_ml + drops_ml, job->cup_ml);
}

static dw_status fill_cup(const dw_plan_job *job, size_t i, dw_plan *out, dw_error *err) {
  const dw_plan_layer *layer = &job->layer[i];
  dw_plan_cup *cup = &out->cup[i];
  dw_status status = DW_OK;
  cup->volume_ml = layer->share * out->molds_ml * (1 + job->waste);
  if (job->step_ml > 0) cup->volume_ml = job->step_ml * ceil(cup->volume_ml / job->step_ml - 1e-9);
  fill_extras(job, layer, cup);
  if (layer->has_recipe)
    status = dw_recipe_scale(job->shelf, &layer->loadings, &job->slab, cup->volume_ml / DW_ML_PER_FLOZ,
                             &cup->drops, &cup->rounding_de00, err);
  if (status != DW_OK) return status;
  out->total_ml += cup->volume_ml;
  judge_cup(job, i, out);
  return DW_OK;
}

static dw_status place_cups(const dw_plan_job *job, dw_plan *out, dw_error *err) {
  dw_status status = DW_OK;
  for (size_t m = 0; m < job->n_molds && status == DW_OK; m++) {
    status = dw_mold_chambers(&job->mold[m].mold, job->n_layers, out->chamber[m], err);
    if (status == DW_OK && m > 0 && out->chamber[m][0] != out->chamber[0][0])
      dw_note(&out->notes, "%s stands the other way round than %s: turn it, or change the chambers.",
              job->mold[m].mold.name, job->mold[0].mold.name);
  }
  for (size_t i = 0; i < job->n_layers && status == DW_OK; i++) out->cup[out->chamber[0][i]].chamber = i + 1;
  return status;
}

/* What was learned of a mold is known within its doubt; what is poured on top of it must cover that. */
static void judge_doubt(const dw_plan_job *job, dw_plan *out) {
  const double spare_ml = out->total_ml - out->molds_ml;
  double squares = 0;
  for (size_t i = 0; i < job->n_molds; i++) {
    const dw_mold *mold = &job->mold[i].mold;
    if (out->fills[i] == 0 || mold->learned_from == 0) continue;
    squares += pow(out->fills[i] * mold->fill_doubt_ml, 2);
    dw_note(&out->notes, "The volume of %s is learned from %zu pour%s%s.", mold->name, mold->learned_from,
            mold->learned_from == 1 ? "" : "s",
            mold->learned_from == 1 ? ", so how sure it is can't be told" : "");
  }
  const double doubt_ml = 2 * sqrt(squares);
  if (doubt_ml > spare_ml)
    dw_note(
        &out->notes,
        "What is learned of the molds can be off by %.0f ml in all (two standard deviations), and only %.0f "
        "ml are poured on top: give more waste.",
        doubt_ml, spare_ml);
}

dw_status dw_plan_make(const dw_plan_job *job, dw_plan *out, dw_error *err) {
  dw_plan plan = {.enough = true};
  dw_status status = check_job(job, err);
  if (status != DW_OK) return status;
  count_fills(job, &plan);
  for (size_t i = 0; i < job->n_molds; i++)
    plan.molds_ml += plan.fills[i] * dw_mold_fill_ml(&job->mold[i].mold);
  judge_loads(job, &plan);
  for (size_t i = 0; i < job->n_layers && status == DW_OK; i++) status = fill_cup(job, i, &plan, err);
  if (status == DW_OK) judge_doubt(job, &plan);
  if (status == DW_OK) status = place_cups(job, &plan, err);
  if (status == DW_OK) *out = plan;
  return status;
}
