#include "dropwise/mix_json.h"
#include "dropwise/report.h"

#include <math.h>
#include <string.h>

json_t *dw_json_difference(dw_lab from, dw_lab to) {
  dw_difference d = dw_difference_between(from, to);
  char words[160];
  dw_difference_words(from, to, words, sizeof words);
  return json_pack("{s:o, s:o, s:o, s:o, s:s}", "de00", dw_json_round(d.de00, 4), "dl",
                   dw_json_round(d.dl, 4), "dc", dw_json_round(d.dc, 4), "dh", dw_json_round(d.dh, 4),
                   "words", words);
}

json_t *dw_json_tone(const char *name, dw_lab color, const dw_tone_spot *spot) {
  char words[DW_NOTE_TEXT];
  dw_tone_words(name, color, spot, words, sizeof words);
  return json_pack("{s:s, s:b, s:o, s:o}", "name", name, "inside", spot->inside, "away_de00",
                   dw_json_round(spot->away_de00, 2), "words", dw_json_text(words));
}

json_t *dw_json_prediction(const dw_prediction *p) {
  return json_pack("{s:o, s:[o, o, o], s:o, s:o, s:o}", "lab", dw_json_lab(p->lab), "xyz",
                   dw_json_round(p->xyz.X, 5), dw_json_round(p->xyz.Y, 5), dw_json_round(p->xyz.Z, 5),
                   "see_through", dw_json_round(p->see_through, 3), "uncertainty_de00",
                   dw_json_round(p->uncertainty_de00, 2), "warnings", dw_json_notes(&p->notes));
}

json_t *dw_json_new_cup(const dw_shelf *shelf, const dw_instead *new_cup) {
  dw_text words = {0};
  dw_text_instead(shelf, new_cup, DW_UNITS_US, &words);
  json_t *json = json_pack(
      "{s:o, s:o, s:o, s:o, s:o, s:o}", "take_floz", dw_json_round(new_cup->take_floz, 3), "add",
      dw_json_drops(&new_cup->add, shelf), "add_clear_floz", dw_json_round(new_cup->base_floz, 3),
      "predicted", dw_json_lab(new_cup->predicted), "predicted_de00",
      dw_json_round(new_cup->predicted_de00, 2), "words", dw_json_text(words.data ? words.data : ""));
  dw_text_free(&words);
  return json;
}

static json_t *json_instead(const dw_shelf *shelf, const dw_layer_state *state) {
  static const char *const names[] = {"fresh", "part", "bigger"};
  json_t *list = json_array();
  for (size_t i = 0; i < state->n_instead; i++) {
    const dw_instead *way = &state->instead[i];
    dw_text words = {0};
    dw_text_instead(shelf, way, DW_UNITS_US, &words);
    list = dw_json_and(
        list, json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "way", names[way->way], "keep_floz",
                        dw_json_round(way->keep_floz, 3), "base_floz", dw_json_round(way->base_floz, 3),
                        "capacity_floz", dw_json_round(way->capacity_floz, 3), "add",
                        dw_json_drops(&way->add, shelf), "predicted", dw_json_lab(way->predicted),
                        "predicted_de00", dw_json_round(way->predicted_de00, 2), "words",
                        dw_json_text(words.data ? words.data : "")));
    dw_text_free(&words);
  }
  return list;
}

static json_t *json_also(const dw_advice *advice) {
  json_t *list = json_array();
  for (size_t i = 0; i < advice->n_also; i++) list = dw_json_and(list, dw_json_text(advice->also[i]));
  return list;
}

static json_t *json_advice(const dw_advice_request *request, const dw_layer_state *state,
                           const dw_advice *advice) {
  char off[160];
  dw_excess_words(advice->predicted.lab, state->aim, off, sizeof off);
  return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:s, s:o, s:s, s:o, s:o, s:o}", "plugin",
                   dw_json_text(advice->plugin), "also", json_also(advice), "add",
                   dw_json_drops(&advice->add, request->shelf), "add_clear_floz",
                   dw_json_round(advice->add_clear_floz, 3), "predicted", dw_json_lab(advice->predicted.lab),
                   "predicted_de00", dw_json_round(advice->predicted_de00, 2), "predicted_off", off,
                   "predicted_see_through", dw_json_round(advice->predicted.see_through, 3),
                   "predicted_see_through_words", dw_plugin_see_through_words(advice->predicted.see_through),
                   "predicted_uncertainty_de00", dw_json_round(advice->predicted.uncertainty_de00, 2),
                   "words", dw_json_text(advice->words), "warnings", dw_json_notes(&advice->notes));
}

json_t *dw_json_advice(const dw_advice_request *request, const dw_advice_result *result) {
  json_t *layers = json_array();
  for (size_t i = 0; i < request->n; i++) {
    const dw_layer *layer = &request->layer[i];
    const dw_layer_state *state = &result->state[i];
    json_t *list = json_array();
    for (size_t j = 0; j < result->n; j++)
      if (result->advice[j].layer == i)
        list = dw_json_and(list, json_advice(request, state, &result->advice[j]));
    char words[160], off[160];
    dw_difference_words(state->now, state->aim, words, sizeof words);
    dw_excess_words(state->now, state->aim, off, sizeof off);
    layers = dw_json_and(
        layers,
        json_pack("{s:o, s:o, s:s, s:b, s:o, s:o, s:b, s:o, s:s, s:o, s:s, s:o, s:o, s:o}", "name",
                  dw_json_text(layer->name), "target", dw_json_lab(state->aim), "aim",
                  dw_advice_aim_name(request, state), "leave", state->leave, "leave_de00",
                  dw_json_round(state->judged.leave_de00, 2), "now", dw_json_lab(state->now), "measured",
                  state->measured, "now_de00", dw_json_round(state->now_de00, 2), "off", off, "see_through",
                  dw_json_round(state->see_through, 3), "to_target", words, "instead",
                  json_instead(request->shelf, state), "tone",
                  state->has_tone ? dw_json_tone(layer->tone_name, state->now, &state->tone) : json_null(),
                  "advice", list));
  }
  dw_notes notes = {0};
  const char *warning = dw_shelf_warning(request->shelf);
  if (warning) dw_note(&notes, "%s", warning);
  json_t *warnings = dw_json_notes(&notes);
  for (size_t i = 0; i < result->notes.n; i++)
    warnings = dw_json_and(warnings, dw_json_text(result->notes.text[i]));
  return json_pack("{s:o, s:o}", "layers", layers, "warnings", warnings);
}

json_t *dw_json_bait_number(int bait) {
  return dw_bait_read(bait) ? json_integer((json_int_t)bait + 1) : json_null();
}

json_t *dw_json_entry(const dw_entry *entry) {
  return json_pack("{s:I, s:s, s:s, s:s, s:s, s:s}", "id", (json_int_t)entry->id, "when", entry->made, "door",
                   dw_door_name(entry->door), "kind", dw_entry_kind_name(entry->kind), "state",
                   dw_entry_state_name(entry->state), "words", entry->words);
}

json_t *dw_json_tone_kept(const dw_tone *tone, const dw_tone_range *range) {
  json_t *json = json_pack("{s:s, s:s, s:b, s:I, s:s}", "name", tone->name, "note", tone->note, "invented",
                           tone->invented, "references", (json_int_t)tone->n, "created", tone->created);
  if (json && range) {
    json = dw_json_with(json, "center", dw_json_lab(range->center));
    json = dw_json_with(json, "half_axes_de00",
                        json_pack("[o, o, o]", dw_json_round(range->half[0], 2),
                                  dw_json_round(range->half[1], 2), dw_json_round(range->half[2], 2)));
  }
  return json;
}
