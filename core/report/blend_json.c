#include "dropwise/report_blend.h"

#include "dropwise/mix_json.h"
#include "dropwise/plugin.h"
#include "dropwise/report.h"

static json_t *json_color_words(dw_lab lab) {
  char words[64];
  dw_color_words(lab, words, sizeof words);
  return dw_json_text(words);
}

static json_t *json_step(const dw_blend *blend, int i) {
  const dw_prediction *p = &blend->step[i];
  return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o}", "share", dw_json_round(dw_blend_shares[i], 2), "lab",
                   dw_json_lab(p->lab), "words", json_color_words(p->lab), "chroma_kept",
                   dw_json_round(blend->chroma_kept[i], 2), "see_through", dw_json_round(p->see_through, 3),
                   "uncertainty_de00", dw_json_round(p->uncertainty_de00, 2));
}

static json_t *json_even_words(const dw_shelf *shelf, const dw_blends *blends, size_t i,
                               const dw_style *style) {
  dw_text text = {0};
  dw_text_blend_even(shelf, blends, i, style, &text);
  json_t *out = text.failed ? NULL : dw_json_text(text.data);
  dw_text_free(&text);
  return out;
}

static json_t *json_even(const dw_shelf *shelf, const dw_blends *blends, size_t i, const dw_style *style) {
  const dw_blend_layer *first = &blends->layer[i];
  const dw_blend_even *even = &blends->even[i];
  if (blends->between[i].overpowers == DW_OVERPOWERS_NONE || !even->found) return json_null();
  const dw_solution *s = &even->solution;
  return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b}", "words",
                   json_even_words(shelf, blends, i, style), "layer", dw_json_text(first[even->layer].name),
                   "add", dw_json_drops(&s->add, shelf), "add_clear_floz",
                   dw_json_round(s->add_clear_floz, 3), "see_through",
                   dw_json_round(s->predicted.see_through, 3), "predicted", dw_json_lab(s->predicted.lab),
                   "moved_de00", dw_json_round(even->moved_de00, 2), "reached", even->reached);
}

static json_t *json_blend_words(const dw_blends *blends, size_t i) {
  dw_notes notes = {0};
  dw_blend_note(blends, i, &notes);
  return dw_json_notes(&notes);
}

static json_t *json_blend(const dw_shelf *shelf, const dw_blends *blends, size_t i, const dw_style *style) {
  const dw_blend *blend = &blends->between[i];
  const dw_blend_layer *first = &blends->layer[i];
  json_t *steps = json_array();
  for (int k = 0; k < DW_BLEND_STEPS; k++) steps = dw_json_and(steps, json_step(blend, k));
  const bool one = blend->overpowers != DW_OVERPOWERS_NONE;
  return json_pack("{s:[o, o], s:o, s:o, s:b, s:o, s:o, s:o}", "between", dw_json_text(first[0].name),
                   dw_json_text(first[1].name), "words", json_blend_words(blends, i), "steps", steps, "muddy",
                   blend->muddy, "dull_share", dw_json_round(blend->dull_share, 2), "overpowers",
                   one ? dw_json_text(first[blend->overpowers].name) : json_null(), "even",
                   json_even(shelf, blends, i, style));
}

json_t *dw_json_blends(const dw_shelf *shelf, const dw_blends *blends, const dw_style *style) {
  json_t *list = json_array(), *layers = json_array();
  for (size_t i = 0; i < blends->n; i++) {
    const bool last = i + 1 == blends->n;
    const dw_prediction *p = last ? &blends->between[i - 1].end[1] : &blends->between[i].end[0];
    layers = dw_json_and(
        layers, json_pack("{s:o, s:o, s:o, s:s, s:o, s:b}", "name", dw_json_text(blends->layer[i].name),
                          "lab", dw_json_lab(p->lab), "words", json_color_words(p->lab), "clearness",
                          dw_plugin_see_through_words(p->see_through), "see_through",
                          dw_json_round(p->see_through, 3), "estimated", blends->layer[i].guessed));
    if (!last) list = dw_json_and(list, json_blend(shelf, blends, i, style));
  }
  return json_pack("{s:o, s:o, s:o}", "layers", layers, "blends", list, "warnings",
                   dw_json_notes(&blends->notes));
}
