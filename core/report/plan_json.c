#include "dropwise/report_plan.h"

#include "dropwise/mix_json.h"

static json_t *json_powders(const dw_plan_layer *layer, const dw_plan_cup *cup) {
  json_t *list = json_array();
  for (size_t i = 0; i < layer->n_powders; i++)
    list = dw_json_and(
        list, json_pack("{s:o, s:o, s:o}", "name", dw_json_text(layer->powder[i].name), "grams",
                        cup->grams[i] > 0 ? dw_json_round(cup->grams[i], 3) : json_null(), "teaspoons",
                        cup->teaspoons[i] > 0 ? dw_json_round(cup->teaspoons[i], 3) : json_null()));
  return list;
}

static json_t *json_additives(const dw_plan_job *job, const double *ml) {
  json_t *object = json_object();
  for (size_t i = 0; i < job->n_additives; i++)
    object = dw_json_with(object, job->additive[i].name, dw_json_round(ml[i], 2));
  return object;
}

static json_t *json_cup(const dw_plan_job *job, const dw_plan *plan, size_t i) {
  const dw_plan_layer *layer = &job->layer[i];
  const dw_plan_cup *cup = &plan->cup[i];
  return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:I}", "layer", dw_json_text(layer->name),
                   "share", dw_json_round(layer->share, 4), "volume_ml", dw_json_round(cup->volume_ml, 2),
                   "plastic_ml", dw_json_round(cup->plastic_ml, 2), "additives_ml",
                   json_additives(job, cup->additive_ml), "drops",
                   layer->has_recipe ? dw_json_drops(&cup->drops, job->shelf) : json_null(), "rounding_de00",
                   dw_json_round(cup->rounding_de00, 2), "powders", json_powders(layer, cup), "chamber",
                   (json_int_t)cup->chamber);
}

static json_t *json_mold(const dw_plan_job *job, const dw_plan *plan, size_t i) {
  json_t *order = json_array();
  for (size_t k = 0; k < job->n_layers; k++)
    order = dw_json_and(order, dw_json_text(job->layer[plan->chamber[i][k]].name));
  return json_pack("{s:o, s:i, s:o}", "name", dw_json_text(job->mold[i].mold.name), "fills", plan->fills[i],
                   "chambers", order);
}

static json_t *json_shopping(const dw_plan_job *job, const dw_plan *plan) {
  dw_shopping list;
  json_t *drops = json_object(), *powders = json_array();
  dw_plan_shopping(job, plan, &list);
  for (size_t i = 0; job->shelf && i < job->shelf->n; i++)
    if (list.drops[i] > 0)
      drops = dw_json_with(drops, job->shelf->bottle[i].id, json_integer((json_int_t)list.drops[i]));
  for (size_t i = 0; i < list.n_powders; i++)
    powders = dw_json_and(powders, json_pack("{s:o, s:o, s:o}", "name", dw_json_text(list.powder[i].name),
                                             "grams", dw_json_round(list.powder[i].grams, 3), "teaspoons",
                                             dw_json_round(list.powder[i].teaspoons, 3)));
  return json_pack("{s:o, s:o, s:o, s:o}", "plastic_ml", dw_json_round(list.plastic_ml, 2), "additives_ml",
                   json_additives(job, list.additive_ml), "drops", drops, "powders", powders);
}

json_t *dw_json_mold(const dw_mold *mold) {
  json_t *json =
      json_pack("{s:o, s:i, s:o, s:o, s:o, s:s, s:s}", "name", dw_json_text(mold->name), "cavities",
                mold->cavities, "bait_ml", dw_json_round(mold->bait_ml, 3), "runner_ml",
                dw_json_round(mold->runner_ml, 3), "fill_ml", dw_json_round(dw_mold_fill_ml(mold), 3),
                "sprue", dw_side_name(mold->sprue), "back", dw_side_name(mold->back));
  json = dw_json_with(json, "learned_from", json_integer((json_int_t)mold->learned_from));
  if (mold->learned_from == 0) return json;
  json = dw_json_with(json, "stated_bait_ml", dw_json_round(mold->stated_ml, 3));
  return dw_json_with(json, "fill_doubt_ml",
                      mold->learned_from > 1 ? dw_json_round(mold->fill_doubt_ml, 3) : json_null());
}

json_t *dw_json_plan(const dw_plan_job *job, const dw_plan *plan) {
  json_t *cups = json_array(), *molds = json_array();
  for (size_t i = 0; i < job->n_layers; i++) cups = dw_json_and(cups, json_cup(job, plan, i));
  for (size_t i = 0; i < job->n_molds; i++) molds = dw_json_and(molds, json_mold(job, plan, i));
  const bool known = plan->loads > 0;
  return json_pack("{s:o, s:o, s:i, s:o, s:o, s:o, s:o, s:b, s:o, s:o}", "cups", cups, "molds", molds,
                   "baits", plan->baits, "molds_ml", dw_json_round(plan->molds_ml, 2), "total_ml",
                   dw_json_round(plan->total_ml, 2), "shots", known ? json_integer(plan->loads) : json_null(),
                   "reaches_last", known ? json_boolean(plan->reaches_last) : json_null(), "enough",
                   plan->enough, "shopping", json_shopping(job, plan), "warnings",
                   dw_json_notes(&plan->notes));
}
