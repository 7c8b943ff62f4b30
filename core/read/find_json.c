/* What was found in a photo, as JSON. */
#include "dropwise/read_find.h"

#include <stdlib.h>

static json_t *layer_json(const dw_bait *bait, const dw_find_wish *wish, size_t i) {
  dw_layer_reading *layer = calloc(1, sizeof *layer);
  if (!layer) return NULL;
  dw_copy_text(layer->name, sizeof layer->name, dw_find_layer_name(wish, i, bait->n));
  layer->shape = bait->layer[i].band;
  layer->reading = bait->layer[i].reading;
  json_t *json = dw_json_layer(layer);
  free(layer);
  json = dw_json_with(json, "share", dw_json_round(bait->layer[i].share, 4));
  json = dw_json_with(json, "drift_de00", dw_json_round(bait->layer[i].drift_de00, 2));
  return dw_json_with(json, "board_de00", dw_json_round(bait->layer[i].board_de00, 2));
}

/* size  NULL: not known */
static json_t *blend_json(const dw_bait *bait, const dw_find_wish *wish, size_t i, const dw_bait_size *size) {
  const dw_bait_blend *b = &bait->blend[i];
  json_t *json = json_pack("{s:[s, s], s:o, s:o, s:o, s:o}", "between", dw_find_layer_name(wish, i, bait->n),
                           dw_find_layer_name(wish, i + 1, bait->n), "at", dw_json_round(b->at, 4), "sway",
                           dw_json_round(b->sway, 4), "width_share", dw_json_round(b->width_share, 4), "lab",
                           dw_json_lab(b->lab));
  return size ? dw_json_with(json, "width_mm", dw_json_round(size->blend_mm[i], 2)) : json;
}

static json_t *axis_json(const dw_bait *bait) {
  json_t *list = json_array();
  for (size_t i = 0; i < DW_BAIT_STATIONS; i += DW_BAIT_STATIONS / 16)
    list = dw_json_and(list, json_pack("[o, o]", dw_json_round(bait->station[i].x, 1),
                                       dw_json_round(bait->station[i].y, 1)));
  return list;
}

/* One side of the body, head to tail. */
static json_t *side_json(const dw_bait *bait, bool belly) {
  json_t *list = json_array();
  for (size_t i = 0; i < DW_BAIT_STATIONS; i += DW_BAIT_STATIONS / 16) {
    const dw_bait_station *s = &bait->station[i];
    list = dw_json_and(list, json_pack("[o, o]", dw_json_round(belly ? s->belly_x : s->back_x, 1),
                                       dw_json_round(belly ? s->belly_y : s->back_y, 1)));
  }
  return list;
}

static json_t *bait_json(const dw_found *found, const dw_find_wish *wish, const dw_bait *bait) {
  dw_bait_size size;
  const bool sized = dw_bait_size_get(found, wish, bait, &size);
  json_t *layers = json_array(), *blends = json_array(), *profile = json_array();
  for (size_t i = 0; i < bait->n; i++) layers = dw_json_and(layers, layer_json(bait, wish, i));
  for (size_t i = 0; i + 1 < bait->n; i++)
    blends = dw_json_and(blends, blend_json(bait, wish, i, sized ? &size : NULL));
  for (size_t i = 0; i < DW_BAIT_PROFILE; i++) profile = dw_json_and(profile, dw_json_lab(bait->profile[i]));
  json_t *tips = bait->has_tips ? dw_json_lab(bait->tips.lab) : json_null();
  json_t *json =
      json_pack("{s:{s:i, s:i, s:i, s:i}, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:o}",
                "outline", "x", bait->box.x, "y", bait->box.y, "w", bait->box.w, "h", bait->box.h,
                "angle_deg", dw_json_round(bait->angle_deg, 1), "bend_deg", dw_json_round(bait->bend_deg, 1),
                "length", dw_json_round(bait->length, 1), "height", dw_json_round(bait->height, 1), "axis",
                axis_json(bait), "back", side_json(bait, false), "belly", side_json(bait, true), "layers",
                layers, "blends", blends, "profile", profile, "tips", tips, "back_known", bait->back_known,
                "warnings", dw_json_notes(&bait->notes));
  if (!sized) return json;
  json = dw_json_with(json, "length_mm", dw_json_round(size.length_mm, 1));
  return dw_json_with(json, "height_mm", dw_json_round(size.height_mm, 1));
}

/* What the baits of the usual number of layers have in common; null with fewer than two of them. */
static json_t *spread_json(const dw_baits *baits, const dw_find_wish *wish) {
  dw_baits_spread spread;
  if (!dw_baits_compare(baits, &spread)) return json_null();
  json_t *layers = json_array();
  for (size_t l = 0; l < spread.layers; l++) {
    bool odd = spread.layer[l].odd < baits->n;
    layers = dw_json_and(layers, json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:o}", "name",
                                           dw_find_layer_name(wish, l, spread.layers), "mean",
                                           dw_json_lab(spread.layer[l].mean), "spread_de00",
                                           dw_json_round(spread.layer[l].spread_de00, 2), "share",
                                           dw_json_round(spread.layer[l].share, 4), "share_deviation",
                                           dw_json_round(spread.layer[l].share_deviation, 4), "odd_bait",
                                           odd ? json_integer((json_int_t)spread.layer[l].odd) : json_null(),
                                           "odd_de00",
                                           odd ? dw_json_round(spread.layer[l].odd_de00, 2) : json_null()));
  }
  return json_pack("{s:I, s:o}", "baits", (json_int_t)spread.baits, "layers", layers);
}

json_t *dw_json_found(const dw_found *found, const dw_find_wish *wish) {
  json_t *root = dw_json_reading(&found->reading), *baits = json_array();
  for (size_t i = 0; i < found->baits.n; i++)
    baits = dw_json_and(baits, bait_json(found, wish, &found->baits.bait[i]));
  if (root) json_object_del(root, "layers");
  root = dw_json_with(root, "baits", baits);
  root = dw_json_with(root, "spread", spread_json(&found->baits, wish));
  return dw_json_with(root, "warnings", dw_json_notes(&found->baits.notes));
}
