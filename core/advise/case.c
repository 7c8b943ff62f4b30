#include "advise/case.h"
#include "advise/clean.h"
#include "pourtone/fit.h"

#include <math.h>
#include <string.h>

/* Below the first chroma a color has no hue worth holding, below the second none worth dulling. */
#define GRAY_CHROMA 5.0
#define HUED_CHROMA 12.0
/* A difference in chroma that is not worth dulling for, and a hue too far off to be reached by dulling. */
#define DULL_LEAST 2.0
#define DULL_TURN_MAX_DEG 45.0

/* ---- checks ----------------------------------------------------------------------------------------- */

static bool lab_finite(pt_lab lab) {
  return isfinite(lab.L) && isfinite(lab.a) && isfinite(lab.b);
}

static pt_status check_cup(const pt_layer *layer, const pt_shelf *shelf, pt_error *err) {
  const pt_cup *cup = &layer->cup;
  if (!(cup->volume_floz > 0) || !isfinite(cup->volume_floz) || !isfinite(cup->capacity_floz))
    return pt_fail(err, PT_BAD_INPUT, "The cup of layer %s holds %g fl oz of base; it must hold some.",
                   layer->name, cup->volume_floz);
  if (cup->drops.n > PT_CUP_BOTTLES_MAX)
    return pt_fail(err, PT_BAD_INPUT, "The cup of layer %s lists %zu bottles; at most %d are possible.",
                   layer->name, cup->drops.n, PT_CUP_BOTTLES_MAX);
  for (size_t i = 0; i < cup->drops.n; i++) {
    const pt_part *part = &cup->drops.part[i];
    if (part->bottle >= shelf->n)
      return pt_fail(err, PT_BAD_INPUT, "The cup of layer %s has a bottle in it that is not on the shelf.",
                     layer->name);
    if (!(part->amount >= 0) || !isfinite(part->amount))
      return pt_fail(err, PT_BAD_INPUT, "The cup of layer %s has %g drops of %s in it; drops are 0 or more.",
                     layer->name, part->amount, shelf->bottle[part->bottle].id);
  }
  if (cup->volume_floz > cup->capacity_floz + 1e-9)
    return pt_fail(
        err, PT_BAD_INPUT,
        "The cup of layer %s holds %.2f fl oz of base already, more than its capacity of %.2f; give a "
        "larger capacity.",
        layer->name, cup->volume_floz, cup->capacity_floz);
  return PT_OK;
}

static pt_status check_layer(const pt_layer *layer, const pt_shelf *shelf, pt_error *err) {
  bool colors = (layer->no_target || lab_finite(layer->target)) &&
                (!layer->has_measured || lab_finite(layer->measured));
  bool doubt = !layer->has_measured || layer->measured_uncertainty_de00 >= 0;
  if (!pt__text_ends(layer->name, sizeof layer->name))
    return pt_fail(err, PT_BAD_INPUT, "A layer's name is longer than %d bytes.", PT_ID_ROOM - 1);
  if (!colors || !doubt || isnan(layer->target_see_through))
    return pt_fail(err, PT_BAD_INPUT, "Layer %s has a color or see-through that is no number.", layer->name);
  return check_cup(layer, shelf, err);
}

/* Dulled is what there is: a cup, a bait, or else a target. */
static pt_status check_aim(const pt_layer *layer, double chroma_share, pt_error *err) {
  if (!layer->no_target || (chroma_share > 0 && (layer->has_measured || layer->cup.drops.n > 0)))
    return PT_OK;
  return pt_fail(err, PT_BAD_INPUT, "Layer %s has no target, and there is no color of its cup to dull.",
                 layer->name);
}

static pt_status check(const pt_advice_request *request, pt_error *err) {
  if (request->n < 1 || request->n > PT_LAYERS_MAX)
    return pt_fail(err, PT_BAD_INPUT, "Advice is for 1 to %d layers, not %zu.", PT_LAYERS_MAX, request->n);
  if (!(request->chroma_share >= 0 && request->chroma_share <= 1))
    return pt_fail(err, PT_BAD_INPUT, "A layer can be dulled by a share from 0 to 1, not %g.",
                   request->chroma_share);
  if (!(request->rules.step_drops > 0) && !(request->rules.step_ml > 0))
    return pt_fail(err, PT_BAD_INPUT,
                   "The step of an addition is %g drops or %g ml; one of them must be above 0.",
                   request->rules.step_drops, request->rules.step_ml);
  for (size_t i = 0; i < request->n; i++) {
    pt_status status = check_layer(&request->layer[i], request->shelf, err);
    if (status == PT_OK) status = check_aim(&request->layer[i], request->chroma_share, err);
    if (status != PT_OK) return status;
  }
  return PT_OK;
}

/* ---- prediction ------------------------------------------------------------------------------------- */

double pt__case_step(const pt__case *c, size_t bottle) {
  const pt_rules *rules = &c->request->rules;
  return rules->step_drops > 0 ? rules->step_drops
                               : rules->step_ml / c->request->shelf->bottle[bottle].drop_ml;
}

pt_status pt__case_predict(const pt__case *c, size_t layer, const pt_recipe *add, double add_clear_floz,
                           pt_prediction *out, pt_error *err) {
  pt_cup cup = c->cup[layer];
  pt_recipe loadings;
  const bool same = c->state[layer].cup_unknown && add->n == 0 && !(add_clear_floz > 0);
  cup.volume_floz += add_clear_floz;
  for (size_t i = 0; i < add->n; i++)
    if (!pt_recipe_add(&cup.drops, add->part[i].bottle, add->part[i].amount))
      return pt_fail(err, PT_BAD_INPUT, "A cup holds at most %d different bottles.", PT_CUP_BOTTLES_MAX);
  pt_cup_loadings(&cup, &loadings);
  pt_status status = pt_predict(c->request->shelf, &loadings, &c->request->slab, out, err);
  if (status != PT_OK) return status;
  out->lab = same ? c->state[layer].now : pt_rules_carry(&c->rules[layer], out->lab);
  out->xyz = pt_xyz_from_lab(out->lab);
  return PT_OK;
}

/* ---- views ------------------------------------------------------------------------------------------ */

/* A color that the cup's drops can't have given says nothing of this cup. */
static pt_status trust_measured(const pt_advice_request *request, const pt_layer *layer,
                                const pt_recipe *loadings, bool *trusted, pt_miss *miss, pt_error *err) {
  *trusted = layer->has_measured;
  if (!layer->has_measured || layer->cup.drops.n == 0) return PT_OK;
  pt_status status = pt_pour_miss(request->shelf, loadings, &request->slab, layer->measured,
                                  layer->measured_uncertainty_de00, miss, err);
  *trusted = status == PT_OK && !miss->far;
  return status;
}

static void word_miss(const pt_layer *layer, const pt_miss *miss, pt_notes *notes) {
  char words[PT_NOTE_TEXT];
  pt_miss_words(miss->de00, words, sizeof words);
  pt_note(notes, "%s: %s This advice goes by the drops alone.", layer->name, words);
}

static pt_status state_make(pt__case *c, size_t i, pt_error *err) {
  const pt_layer *layer = &c->request->layer[i];
  pt_layer_state *state = &c->state[i];
  pt_recipe loadings;
  pt_miss miss = {0};
  pt_cup_loadings(&layer->cup, &loadings);
  pt_status status = pt_predict(c->request->shelf, &loadings, &c->request->slab, &state->predicted_now, err);
  if (status != PT_OK) return status;
  pt_lab predicted = state->predicted_now.lab;
  status = trust_measured(c->request, layer, &loadings, &state->measured, &miss, err);
  if (status != PT_OK) return status;
  if (!state->measured && layer->has_measured) word_miss(layer, &miss, &c->notes);
  state->now = state->measured ? layer->measured : predicted;
  state->see_through = state->predicted_now.see_through;
  state->cup_unknown = layer->has_measured && layer->cup.drops.n == 0;
  c->cup[i] = layer->cup;
  c->cup[i].capacity_floz =
      fmax(layer->cup.capacity_floz, pt_cup_filled_floz(&layer->cup, c->request->shelf));
  c->rules[i] = c->request->rules;
  c->rules[i].max_drops = pt_rules_max_drops(&c->request->rules, &layer->cup);
  /* What was measured says something of this cup only when what is in it is known; otherwise the advice is a
   * recipe for a fresh cup, which owes nothing to that bait. */
  if (layer->cup.drops.n > 0) pt_rules_measured(&c->rules[i], predicted, state->now);
  state->aim = c->request->chroma_share > 0 ? pt__case_duller(c, i) : layer->target;
  state->now_de00 = pt_de00(state->now, state->aim);
  return PT_OK;
}

/* The duller color wanted: the aim, by the share asked for or when it is the same hue with less chroma. */
static void dulling(pt_layer_view *view, double chroma_share) {
  double now = pt_plugin_chroma(view->now), target = pt_plugin_chroma(view->target);
  bool by_target =
      chroma_share == 0 && now >= HUED_CHROMA && now - target > DULL_LEAST &&
      (target < GRAY_CHROMA || fabs(pt_plugin_hue_turn(view->now, view->target)) < DULL_TURN_MAX_DEG);
  view->dull_target = view->now;
  if (!by_target && chroma_share == 0) return;
  view->dull_share = by_target ? 1 - target / now : chroma_share;
  double keep = 1 - view->dull_share;
  view->dull_target = (pt_lab){view->target.L, view->now.a * keep, view->now.b * keep};
  if (by_target && target >= GRAY_CHROMA) view->dull_target = view->target;
}

static void layer_view_make(pt__case *c, size_t i) {
  const pt_layer *layer = &c->request->layer[i];
  const pt_layer_state *state = &c->state[i];
  pt_layer_view *view = &c->layer[i];
  for (size_t j = 0; j < layer->cup.drops.n; j++)
    c->drops[i][j] =
        (pt_addition){(uint32_t)layer->cup.drops.part[j].bottle, layer->cup.drops.part[j].amount};
  *view = (pt_layer_view){
      .name = layer->name,
      .target = state->aim,
      .now = state->now,
      .measured = state->measured,
      .now_de00 = state->now_de00,
      .now_uncertainty_de00 =
          state->measured ? layer->measured_uncertainty_de00 : state->predicted_now.uncertainty_de00,
      .see_through = state->see_through,
      .target_see_through = layer->target_see_through >= 0 ? layer->target_see_through : -1,
      .volume_floz = layer->cup.volume_floz,
      .room_floz = fmax(0, c->cup[i].capacity_floz - pt_cup_filled_floz(&layer->cup, c->request->shelf)),
      .n_drops = (uint32_t)layer->cup.drops.n,
      .drops = c->drops[i],
  };
  dulling(view, c->request->chroma_share);
}

static pt_status bottle_view_make(pt__case *c, size_t i, pt_error *err) {
  /* How a bottle looks by itself: see pt_bottle_view. */
  static const pt_slab slab = {10, PT_BACKING_GRAY};
  const pt_bottle *bottle = &c->request->shelf->bottle[i];
  pt_recipe alone = {1, {{i, 4}}};
  pt_prediction look;
  pt_status status = pt_predict(c->request->shelf, &alone, &slab, &look, err);
  if (status != PT_OK) return status;
  c->bottle[i] = (pt_bottle_view){.id = bottle->id,
                                  .title = bottle->title,
                                  .role = (int32_t)bottle->role,
                                  .usable = c->request->rules.use[i] != PT_USE_NEVER,
                                  .drop_ml = bottle->drop_ml,
                                  .step_drops = pt__case_step(c, i),
                                  .lab = look.lab};
  return PT_OK;
}

pt_status pt__case_make(const pt_advice_request *request, pt__case *out, pt_error *err) {
  *out = (pt__case){.request = request};
  pt_status status = check(request, err);
  for (size_t i = 0; status == PT_OK && i < request->shelf->n; i++) status = bottle_view_make(out, i, err);
  for (size_t i = 0; status == PT_OK && i < request->n; i++) status = state_make(out, i, err);
  if (status != PT_OK) return status;
  double most = 0;
  for (size_t i = 0; i < request->n; i++) {
    layer_view_make(out, i);
    most = fmax(most, out->rules[i].max_drops);
  }
  out->view = (pt_request){.struct_size = sizeof out->view,
                           .n_layers = (uint32_t)request->n,
                           .n_bottles = (uint32_t)request->shelf->n,
                           .layer = out->layer,
                           .bottle = out->bottle,
                           .chroma_share = request->chroma_share,
                           .thickness_mm = request->slab.thickness_mm,
                           .backing = request->slab.backing,
                           .max_drops = most,
                           .max_bottles = (uint32_t)request->rules.max_bottles};
  return PT_OK;
}
