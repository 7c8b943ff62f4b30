/* Drops on a white table as JSON. docs/drizzle.md */
#include "dropwise/batch_drizzle.h"

static json_t *film_json(const dw_drop *drop, json_t *json) {
  const dw_film *f = &drop->film;
  bool known = drop->known && f->verdict != DW_FILM_UNFITTED, told = known && f->verdict == DW_FILM_TOLD;
  json = dw_json_with(json, "verdict", json_string(drop->verdict));
  json = dw_json_with(json, "words", dw_json_text(drop->words));
  json = dw_json_with(json, "thickness_mm",
                      known ? json_pack("[o, o, o]", dw_json_round(f->thinnest_mm, 2),
                                        dw_json_round(f->thickness_mm, 2), dw_json_round(f->thickest_mm, 2))
                            : json_null());
  json = dw_json_with(json, "off_de00", known ? dw_json_round(f->off_de00, 2) : json_null());
  json = dw_json_with(json, "bait_lab", told ? dw_json_lab(f->lab) : json_null());
  json = dw_json_with(json, "bait_uncertainty_de00", known ? dw_json_round(f->doubt_de00, 2) : json_null());
  json = dw_json_with(json, "predicted", known ? dw_json_lab(f->predicted) : json_null());
  return dw_json_with(json, "predicted_uncertainty_de00",
                      known ? dw_json_round(f->predicted_doubt_de00, 2) : json_null());
}

static json_t *drop_json(const dw_drizzle *drizzle, const dw_drops_judged *judged, size_t i) {
  const dw_layer_reading *layer = &drizzle->reading.layer[i];
  json_t *json = json_pack("{s:o, s:o, s:o, s:o, s:o}", "name", dw_json_text(layer->name), "shape",
                           dw_json_shape(&layer->shape), "lab", dw_json_lab(layer->reading.lab),
                           "uncertainty_de00", dw_json_round(layer->reading.uncertainty_de00, 2), "warnings",
                           dw_json_notes(&layer->reading.notes));
  return judged ? film_json(&judged->drop[i], json) : json;
}

static json_t *neighbors_json(const dw_drizzle *drizzle) {
  json_t *list = json_array();
  for (size_t i = 0; i + 1 < drizzle->reading.n; i++) {
    const dw_layer_reading *p = &drizzle->reading.layer[i], *q = p + 1;
    char words[DW_NOTE_TEXT];
    dw_difference_words(p->reading.lab, q->reading.lab, words, sizeof words);
    list = dw_json_and(list, json_pack("{s:[o, o], s:o, s:o}", "between", dw_json_text(p->name),
                                       dw_json_text(q->name), "de00",
                                       dw_json_round(dw_de00(p->reading.lab, q->reading.lab), 2), "words",
                                       dw_json_text(words)));
  }
  return list;
}

json_t *dw_json_drizzle(const dw_drizzle *drizzle, const dw_drops_judged *judged) {
  json_t *json = dw_json_reading(&drizzle->reading), *drops = json_array(), *like = json_array();
  if (json) json_object_del(json, "layers");
  for (size_t i = 0; i < drizzle->reading.n; i++) drops = dw_json_and(drops, drop_json(drizzle, judged, i));
  for (size_t i = 0; judged && judged->swapped && i < judged->n; i++)
    like = dw_json_and(like, dw_json_text(drizzle->reading.layer[judged->like[i]].name));
  json = dw_json_with(json, "table",
                      json_pack("{s:o, s:o}", "lab", dw_json_lab(drizzle->table), "reflectance",
                                dw_json_round(drizzle->reflectance, 3)));
  json = dw_json_with(json, "drops", drops);
  json = dw_json_with(json, "neighbors", neighbors_json(drizzle));
  json = dw_json_with(json, "looks_like", like);
  json = dw_json_with(json, "swap_words", dw_json_text(judged ? judged->swap_words : ""));
  return dw_json_with(json, "warnings", dw_json_notes(&drizzle->notes));
}
