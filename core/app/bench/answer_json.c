#include "app/bench/answer_json.h"

#include "app/bench/request.h"

#include <string.h>

json_t *dw__parsed(const char *text) {
  json_t *json = NULL;
  dw_error why;
  if (!text) return json_null();
  dw_status status = dw_json_parse(text, strlen(text), "the book", &json, &why);
  return status == DW_BAD_INPUT ? json_null() : json;
}

json_t *dw__color_words_json(dw_lab lab) {
  char words[64];
  dw_color_words(lab, words, sizeof words);
  return json_string(words);
}

static json_t *layer_json(const dw_pattern_layer *l) {
  json_t *out = json_pack("{s:I, s:s, s:o}", "id", (json_int_t)l->id, "name", l->name, "see_through",
                          l->see_through >= 0 ? dw_json_round(l->see_through, 3) : json_null());
  if (l->has_target) {
    out = dw_json_with(out, "target", dw_json_lab(l->target));
    out = dw_json_with(out, "words", dw__color_words_json(l->target));
    out = dw_json_with(out, "target_how", json_string(dw_target_how_words(l->target_how)));
    out = dw_json_with(out, "target_since", json_string(l->target_since));
    out = dw_json_with(out, "uncertainty_de00", dw_json_round(l->target_uncertainty_de00, 2));
  } else {
    out = dw_json_with(out, "target", json_null());
  }
  out = dw_json_with(out, "share", l->share >= 0 ? dw_json_round(l->share, 4) : json_null());
  return dw_json_with(out, "tone", l->tone ? json_string(l->tone_name) : json_null());
}

json_t *dw__pattern_json(const dw_pattern *p) {
  json_t *layers = json_array();
  for (size_t i = 0; i < p->n; i++) layers = dw_json_and(layers, layer_json(&p->layer[i]));
  return json_pack("{s:I, s:s, s:s, s:s, s:b, s:b, s:I, s:o}", "id", (json_int_t)p->id, "name", p->name,
                   "note", p->note, "unwanted", p->unwanted, "clean_blends", p->clean_blends, "swirl",
                   p->swirl, "batches", (json_int_t)p->batches, "layers", layers);
}

json_t *dw__additions_json(const dw_book_addition *list, size_t n) {
  json_t *out = json_array();
  for (size_t i = 0; i < n; i++) {
    if (!list[i].slug[0] && list[i].clear_floz <= 0) continue; /* what a correction left of one */
    out = dw_json_and(out,
                      list[i].slug[0]
                          ? json_pack("{s:s, s:s, s:f, s:s}", "when", list[i].added, "bottle", list[i].slug,
                                      "drops", list[i].drops, "lot", list[i].lot)
                          : json_pack("{s:s, s:f}", "when", list[i].added, "clear_floz", list[i].clear_floz));
  }
  return out;
}

json_t *dw__additions_drops_json(const dw_book_addition *list, size_t n) {
  json_t *out = json_object();
  for (size_t i = 0; i < n; i++) {
    if (!list[i].slug[0]) continue;
    double before = json_number_value(json_object_get(out, list[i].slug));
    out = dw_json_with(out, list[i].slug, dw_json_round(before + list[i].drops, 2));
  }
  return out;
}
