/* See-through as JSON. */
#include "dropwise/read_strips.h"

static json_t *layer_json(const dw_see_layer *layer, const char *name, bool mean) {
  json_t *json = json_pack("{s:o, s:o, s:o}", "name", dw_json_text(name), "ratio",
                           dw_json_round(layer->ratio, 3), "doubt", dw_json_round(layer->doubt, 3));
  if (mean) return json;
  json = dw_json_with(json, "black", dw_json_lab(layer->black.lab));
  return dw_json_with(json, "white", dw_json_lab(layer->white.lab));
}

static json_t *layers_json(const dw_see_bait *bait, const dw_find_wish *wish, bool mean) {
  json_t *list = json_array();
  for (size_t i = 0; i < bait->n; i++)
    list = dw_json_and(list, layer_json(&bait->layer[i], dw_find_layer_name(wish, i, bait->n), mean));
  return list;
}

json_t *dw_json_strips(const dw_strips *strips, const dw_find_wish *wish) {
  json_t *root = dw_json_reading(&strips->reading), *baits = json_array();
  for (size_t i = 0; i < strips->n; i++)
    baits = dw_json_and(baits, json_pack("{s:[o, o], s:o}", "at", dw_json_round(strips->bait[i].x, 1),
                                         dw_json_round(strips->bait[i].y, 1), "see_through",
                                         layers_json(&strips->bait[i], wish, false)));
  if (root) json_object_del(root, "layers");
  root = dw_json_with(root, "see_through", layers_json(&strips->mean, wish, true));
  root = dw_json_with(root, "baits", baits);
  return dw_json_with(root, "warnings", dw_json_notes(&strips->notes));
}
