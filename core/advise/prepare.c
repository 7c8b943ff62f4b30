#include "advise/prepare.h"
#include "advise/clean.h"
#include "dropwise/fit.h"

#include <math.h>
#include <string.h>

/* Below the first chroma a color has no hue worth holding, below the second none worth dulling. */
#define GRAY_CHROMA 5.0
#define HUED_CHROMA 12.0
/* A difference in chroma that is not worth dulling for, and a hue too far off to be reached by dulling. */
#define DULL_LEAST 2.0
#define DULL_TURN_MAX_DEG 45.0

/* ---- checks ----------------------------------------------------------------------------------------- */

static bool lab_finite(dw_lab lab) {
  return isfinite(lab.L) && isfinite(lab.a) && isfinite(lab.b);
}

static dw_status check_cup(const dw_layer *layer, const dw_shelf *shelf, dw_error *err) {
  const dw_cup *cup = &layer->cup;
  if (!(cup->volume_floz > 0) || !isfinite(cup->volume_floz) || !isfinite(cup->capacity_floz))
    return dw_fail(err, DW_BAD_INPUT, "The cup of layer %s holds %g fl oz of base; it must hold some.",
                   layer->name, cup->volume_floz);
  if (cup->drops.n > DW_CUP_BOTTLES_MAX)
    return dw_fail(err, DW_BAD_INPUT, "The cup of layer %s lists %zu bottles; at most %d are possible.",
                   layer->name, cup->drops.n, DW_CUP_BOTTLES_MAX);
  for (size_t i = 0; i < cup->drops.n; i++) {
    const dw_part *part = &cup->drops.part[i];
    if (part->bottle >= shelf->n)
      return dw_fail(err, DW_BAD_INPUT, "The cup of layer %s has a bottle in it that is not on the shelf.",
                     layer->name);
    if (!(part->amount >= 0) || !isfinite(part->amount))
      return dw_fail(err, DW_BAD_INPUT, "The cup of layer %s has %g drops of %s in it; drops are 0 or more.",
                     layer->name, part->amount, shelf->bottle[part->bottle].id);
  }
  if (cup->volume_floz > cup->capacity_floz + 1e-9)
    return dw_fail(
        err, DW_BAD_INPUT,
        "The cup of layer %s holds %.2f fl oz of base already, more than its capacity of %.2f; give a "
        "larger capacity.",
        layer->name, cup->volume_floz, cup->capacity_floz);
  return DW_OK;
}

static dw_status check_layer(const dw_layer *layer, const dw_shelf *shelf, dw_error *err) {
  bool colors = (layer->no_target || lab_finite(layer->target)) &&
                (!layer->has_measured || lab_finite(layer->measured));
  bool doubt = !layer->has_measured || layer->measured_uncertainty_de00 >= 0;
  if (!dw__text_ends(layer->name, sizeof layer->name))
    return dw_fail(err, DW_BAD_INPUT, "A layer's name is longer than %d bytes.", DW_ID_ROOM - 1);
  if (!colors || !doubt || isnan(layer->target_see_through))
    return dw_fail(err, DW_BAD_INPUT, "Layer %s has a color or see-through that is no number.", layer->name);
  return check_cup(layer, shelf, err);
}

/* Dulled is what there is: a cup, a bait, or else a target. */
static dw_status check_aim(const dw_layer *layer, double chroma_share, dw_error *err) {
  if (!layer->no_target || layer->has_tone ||
      (chroma_share > 0 && (layer->has_measured || layer->cup.drops.n > 0)))
    return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "Layer %s has no target, and there is no color of its cup to dull.",
                 layer->name);
}

static dw_status check(const dw_advice_request *request, dw_error *err) {
  if (request->n < 1 || request->n > DW_LAYERS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "Advice is for 1 to %d layers, not %zu.", DW_LAYERS_MAX, request->n);
  if (!(request->chroma_share >= 0 && request->chroma_share <= 1))
    return dw_fail(err, DW_BAD_INPUT, "A layer can be dulled by a share from 0 to 1, not %g.",
                   request->chroma_share);
  if (!(request->rules.step_drops > 0) && !(request->rules.step_ml > 0))
    return dw_fail(err, DW_BAD_INPUT,
                   "The step of an addition is %g drops or %g ml; one of them must be above 0.",
                   request->rules.step_drops, request->rules.step_ml);
  for (size_t i = 0; i < request->n; i++) {
    dw_status status = check_layer(&request->layer[i], request->shelf, err);
    if (status == DW_OK) status = check_aim(&request->layer[i], request->chroma_share, err);
    if (status != DW_OK) return status;
  }
  return DW_OK;
}

/* ---- prediction ------------------------------------------------------------------------------------- */

double dw__case_step(const dw__case *c, size_t bottle) {
  const dw_rules *rules = &c->request->rules;
  return rules->step_drops > 0 ? rules->step_drops
                               : rules->step_ml / c->request->shelf->bottle[bottle].drop_ml;
}

bool dw__case_cup(const dw__case *c, size_t layer, const dw_recipe *add, double add_clear_floz, dw_cup *out) {
  return dw_cup_after(&c->cup[layer], add, add_clear_floz, out);
}

dw_status dw__case_predict(const dw__case *c, size_t layer, const dw_recipe *add, double add_clear_floz,
                           dw_prediction *out, dw_error *err) {
  dw_cup cup;
  dw_recipe loadings;
  const bool same = c->state[layer].cup_unknown && add->n == 0 && !(add_clear_floz > 0);
  if (!dw__case_cup(c, layer, add, add_clear_floz, &cup))
    return dw_fail(err, DW_BAD_INPUT, "A cup holds at most %d different bottles.", DW_CUP_BOTTLES_MAX);
  dw_cup_loadings(&cup, &loadings);
  dw_status status = dw_predict(c->request->shelf, &loadings, &c->request->slab, out, err);
  if (status != DW_OK) return status;
  out->lab = same ? c->state[layer].now : dw_rules_carry(&c->rules[layer], out->lab);
  out->xyz = dw_xyz_from_lab(out->lab);
  return DW_OK;
}

/* ---- views ------------------------------------------------------------------------------------------ */

/* A color that the cup's drops can't have given says nothing of this cup. */
static dw_status trust_measured(const dw_advice_request *request, const dw_layer *layer,
                                const dw_recipe *loadings, bool *trusted, dw_miss *miss, dw_error *err) {
  *trusted = layer->has_measured;
  if (!layer->has_measured || layer->cup.drops.n == 0) return DW_OK;
  dw_status status = dw_pour_miss(request->shelf, loadings, &request->slab, layer->measured,
                                  layer->measured_uncertainty_de00, miss, err);
  *trusted = status == DW_OK && !miss->far;
  return status;
}

static void word_miss(const dw_layer *layer, const dw_miss *miss, dw_notes *notes) {
  char words[DW_NOTE_TEXT];
  dw_miss_words(miss->de00, words, sizeof words);
  dw_note(notes, "%s: %s This advice goes by the drops alone.", layer->name, words);
}

static bool clear_enough(const dw_layer *layer, const dw_layer_state *state) {
  return layer->target_see_through < 0 || layer->cup.drops.n == 0 ||
         fabs(state->see_through - layer->target_see_through) <= DW_SEE_THROUGH_NEAR;
}

void dw_layer_leave_words(const dw_layer *layer, dw_lab color, const dw_tone_spot *spot, dw_judged *judged) {
  char place[DW_NOTE_TEXT];
  dw_tone_words(layer->tone_name, color, spot, place, sizeof place);
  snprintf(judged->words, sizeof judged->words, "it is %.140s%s", place,
           spot->inside ? "" : ", which is too little to tell or to correct");
}

/* A duller color was asked for: then the cup is not right, however near. */
static void judge(const dw_advice_request *request, const dw_layer *layer, dw_layer_state *state) {
  dw_difference_judge(state->now_de00, state->measured ? layer->measured_uncertainty_de00 : 0,
                      state->measured ? layer->target_doubt_de00 : 0, &state->judged);
  state->leave = state->judged.leave && clear_enough(layer, state) && request->chroma_share == 0 &&
                 (state->measured || layer->cup.drops.n > 0);
  if (state->leads && state->leave) dw_layer_leave_words(layer, state->now, &state->tone, &state->judged);
}

static void place_in_tone(const dw_advice_request *request, const dw_layer *layer, dw_layer_state *state) {
  dw_tone_spot target;
  state->has_tone = layer->has_tone;
  if (!layer->has_tone) return;
  state->leads = layer->no_target && request->chroma_share == 0;
  dw_tone_place(&layer->tone, state->now, &state->tone);
  if (layer->no_target) return;
  dw_tone_place(&layer->tone, layer->target, &target);
  state->target_out = target.away_de00;
}

dw_lab dw_layer_fill_aim(const dw_layer *layer) {
  return layer->no_target && layer->has_tone ? layer->tone.center : layer->target;
}

/* Of an empty cup that no bait was poured of there is no color to lead. */
static dw_lab lead_of(const dw_layer *layer, const dw_layer_state *state) {
  if (!state->measured && layer->cup.drops.n == 0) return dw_layer_fill_aim(layer);
  return dw_tone_lead(&layer->tone, state->now);
}

static dw_status state_make(dw__case *c, size_t i, dw_error *err) {
  const dw_layer *layer = &c->request->layer[i];
  dw_layer_state *state = &c->state[i];
  dw_recipe loadings;
  dw_miss miss = {0};
  dw_cup_loadings(&layer->cup, &loadings);
  dw_status status = dw_predict(c->request->shelf, &loadings, &c->request->slab, &state->predicted_now, err);
  if (status != DW_OK) return status;
  dw_lab predicted = state->predicted_now.lab;
  status = trust_measured(c->request, layer, &loadings, &state->measured, &miss, err);
  if (status != DW_OK) return status;
  if (!state->measured && layer->has_measured) word_miss(layer, &miss, &c->notes);
  state->now = state->measured ? layer->measured : predicted;
  state->see_through = state->predicted_now.see_through;
  state->cup_unknown = layer->has_measured && layer->cup.drops.n == 0;
  c->cup[i] = layer->cup;
  c->cup[i].capacity_floz =
      fmax(layer->cup.capacity_floz, dw_cup_filled_floz(&layer->cup, c->request->shelf));
  c->rules[i] = c->request->rules;
  c->rules[i].max_drops = dw_rules_max_drops(&c->request->rules, &layer->cup);
  /* What was measured says something of this cup only when what is in it is known; otherwise the advice is a
   * recipe for a fresh cup, which owes nothing to that bait. */
  if (layer->cup.drops.n > 0)
    dw_rules_measured(&c->rules[i], predicted, state->now);
  else if (layer->has_earlier)
    dw_rules_measured(&c->rules[i], layer->earlier_predicted, layer->earlier_gave);
  place_in_tone(c->request, layer, state);
  state->aim = c->request->chroma_share > 0 ? dw__case_duller(c, i)
               : state->leads               ? lead_of(layer, state)
                                            : layer->target;
  state->now_de00 = dw_de00(state->now, state->aim);
  judge(c->request, layer, state);
  return DW_OK;
}

/* The duller color wanted: the aim, by the share asked for or when it is the same hue with less chroma. */
static void dulling(dw_layer_view *view, double chroma_share) {
  double now = dw_plugin_chroma(view->now), target = dw_plugin_chroma(view->target);
  bool by_target =
      chroma_share == 0 && now >= HUED_CHROMA && now - target > DULL_LEAST &&
      (target < GRAY_CHROMA || fabs(dw_plugin_hue_turn(view->now, view->target)) < DULL_TURN_MAX_DEG);
  view->dull_target = view->now;
  if (!by_target && chroma_share == 0) return;
  view->dull_share = by_target ? 1 - target / now : chroma_share;
  double keep = 1 - view->dull_share;
  view->dull_target = (dw_lab){view->target.L, view->now.a * keep, view->now.b * keep};
  if (by_target && target >= GRAY_CHROMA) view->dull_target = view->target;
}

static void layer_view_make(dw__case *c, size_t i) {
  const dw_layer *layer = &c->request->layer[i];
  const dw_layer_state *state = &c->state[i];
  dw_layer_view *view = &c->layer[i];
  for (size_t j = 0; j < layer->cup.drops.n; j++)
    c->drops[i][j] =
        (dw_addition){(uint32_t)layer->cup.drops.part[j].bottle, layer->cup.drops.part[j].amount};
  *view = (dw_layer_view){
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
      .room_floz = fmax(0, c->cup[i].capacity_floz - dw_cup_filled_floz(&layer->cup, c->request->shelf)),
      .n_drops = (uint32_t)layer->cup.drops.n,
      .drops = c->drops[i],
  };
  dulling(view, c->request->chroma_share);
}

static void guide_make(dw__case *c, size_t i) {
  const dw_layer *layer = &c->request->layer[i];
  const dw_layer_state *state = &c->state[i];
  const bool held = layer->cup.drops.n > 0 && layer->target_see_through < 0 && c->request->chroma_share == 0;
  c->guide[i] =
      (dw_layer_guide){.leave_de00 = state->judged.leave_de00,
                       .gain_de00 = DW_GAIN_LEAST_DE00,
                       .held_see_through = held ? state->see_through : -1,
                       .leave = state->leave,
                       .clear = clear_enough(layer, state),
                       .tone = !state->has_tone     ? DW_PLUGIN_TONE_NONE
                               : state->tone.inside ? DW_PLUGIN_TONE_INSIDE
                                                    : DW_PLUGIN_TONE_OUTSIDE,
                       .leads = state->leads,
                       .tone_de00 = state->tone.away_de00,
                       .tone_lead = layer->has_tone ? dw_tone_lead(&layer->tone, state->now) : state->now,
                       .tone_name = layer->has_tone ? layer->tone_name : "",
                       .leave_words = state->judged.words};
}

static dw_status bottle_view_make(dw__case *c, size_t i, dw_error *err) {
  const dw_slab slab = dw_slab_usual(); /* how a bottle looks by itself: see dw_bottle_view */
  const dw_bottle *bottle = &c->request->shelf->bottle[i];
  dw_recipe alone = {1, {{i, 4}}};
  dw_prediction look;
  dw_status status = dw_predict(c->request->shelf, &alone, &slab, &look, err);
  if (status != DW_OK) return status;
  c->bottle[i] = (dw_bottle_view){.id = bottle->id,
                                  .title = bottle->title,
                                  .role = (int32_t)bottle->role,
                                  .usable = dw_bottle_free(c->request->shelf, &c->request->rules, i),
                                  .drop_ml = bottle->drop_ml,
                                  .step_drops = dw__case_step(c, i),
                                  .lab = look.lab};
  return DW_OK;
}

dw_status dw__case_make(const dw_advice_request *request, dw__case *out, dw_error *err) {
  *out = (dw__case){.request = request};
  dw_status status = check(request, err);
  for (size_t i = 0; status == DW_OK && i < request->shelf->n; i++) status = bottle_view_make(out, i, err);
  for (size_t i = 0; status == DW_OK && i < request->n; i++) status = state_make(out, i, err);
  if (status != DW_OK) return status;
  double most = 0;
  for (size_t i = 0; i < request->n; i++) {
    layer_view_make(out, i);
    guide_make(out, i);
    most = fmax(most, out->rules[i].max_drops);
  }
  out->view = (dw_request){.struct_size = sizeof out->view,
                           .n_layers = (uint32_t)request->n,
                           .n_bottles = (uint32_t)request->shelf->n,
                           .layer = out->layer,
                           .bottle = out->bottle,
                           .chroma_share = request->chroma_share,
                           .thickness_mm = request->slab.thickness_mm,
                           .backing = request->slab.backing,
                           .max_drops = most,
                           .max_bottles = (uint32_t)request->rules.max_bottles,
                           .guide = out->guide,
                           .guide_size = sizeof out->guide[0],
                           .clean_blends = request->clean_blends};
  return DW_OK;
}
