/* A bait turned in the light, as JSON. */
#include "dropwise/read_turn.h"

static json_t *travel_json(const dw_travel *travel) {
  bool known = travel->verdict != DW_TRAVEL_UNCLEAR;
  return json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:s}", "verdict",
                   dw_travel_verdict_text(travel->verdict), "de00", dw_json_round(travel->de00, 2),
                   "doubt_de00", dw_json_round(travel->doubt_de00, 2), "hue_deg",
                   dw_json_round(travel->hue_deg, 1), "hue_doubt_deg",
                   dw_json_round(travel->hue_doubt_deg, 1), "parts",
                   json_pack("[o, o, o]", dw_json_round(travel->dl, 2), dw_json_round(travel->dc, 2),
                             dw_json_round(travel->dh, 2)),
                   "p", known ? dw_json_round(travel->p, 4) : json_null(), "from",
                   known ? json_integer((json_int_t)travel->from) : json_null(), "to",
                   known ? json_integer((json_int_t)travel->to) : json_null(), "words", travel->words);
}

static json_t *against_json(const dw_travel_against *a) {
  return json_pack("{s:o, s:o, s:o, s:o, s:o, s:s}", "de00", dw_json_round(a->de00, 2), "doubt_de00",
                   dw_json_round(a->doubt_de00, 2), "more_de00", dw_json_round(a->more_de00, 2),
                   "more_doubt_de00", dw_json_round(a->more_doubt_de00, 2), "apart",
                   a->known ? json_boolean(a->apart) : json_null(), "words", a->words);
}

static json_t *layer_json(const dw_turn *turn, const dw_turn_layer *layer) {
  json_t *readings = json_array();
  for (size_t i = 0; i < turn->photos; i++) readings = dw_json_and(readings, dw_json_layer(&layer->at[i]));
  json_t *json = json_pack("{s:o, s:o}", "name", dw_json_text(layer->name), "readings", readings);
  return dw_json_with(json, "travel", travel_json(&layer->travel));
}

json_t *dw_json_turn(const dw_turn *turn, const dw_travel_against *against) {
  json_t *photos = json_array(), *layers = json_array();
  for (size_t i = 0; i < turn->photos; i++) {
    json_t *one = dw_json_reading(&turn->photo[i]);
    if (one) json_object_del(one, "layers");
    photos = dw_json_and(photos, one);
  }
  for (size_t i = 0; i < turn->n; i++) {
    json_t *layer = layer_json(turn, &turn->layer[i]);
    if (against) layer = dw_json_with(layer, "against", against_json(&against[i]));
    layers = dw_json_and(layers, layer);
  }
  return json_pack("{s:o, s:o, s:o}", "photos", photos, "layers", layers, "warnings",
                   dw_json_notes(&turn->notes));
}
