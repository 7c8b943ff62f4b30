/* A photo reading as JSON: what scripts get, and what the book keeps. */
#include "dropwise/read.h"

#include <math.h>
#include <stdlib.h>

json_t *dw_json_shape(const dw_shape *shape) {
  char *text = malloc(DW_SHAPE_TEXT_MAX);
  if (!text) return NULL;
  dw_shape_format(shape, text, DW_SHAPE_TEXT_MAX);
  json_t *json = json_string(text);
  free(text);
  return json;
}

/* Only a card has patches to be off by: without one nothing is known, which is not the same as 0. */
static json_t *json_fit_error(const dw_light_info *light, const dw_fit_error *error) {
  bool known = light->method == DW_LIGHT_CARD;
  return json_pack("{s:o, s:o}", "mean", dw_json_round(known ? error->mean : NAN, 2), "max",
                   dw_json_round(known ? error->max : NAN, 2));
}

/* null where there is too little for a color. */
static json_t *flake_json(const dw_reading *r) {
  if (!r->flake.pixels) return json_null();
  return json_pack("{s:o, s:o}", "lab", dw_json_lab(r->flake.lab), "uncertainty_de00",
                   dw_json_round(r->flake.uncertainty_de00, 2));
}

json_t *dw_json_layer(const dw_layer_reading *layer) {
  const dw_reading *r = &layer->reading;
  json_t *shares =
      json_pack("{s:o, s:o, s:o, s:o, s:o}", "kept", dw_json_round(r->shares.kept, 4), "gloss",
                dw_json_round(r->shares.gloss, 4), "flake", dw_json_round(r->shares.flake, 4), "shadow",
                dw_json_round(r->shares.shadow, 4), "clipped", dw_json_round(r->shares.clipped, 4));
  double hue = dw_hue_shown(r->lch, 2, 2);
  json_t *lch = json_pack("[o, o, o]", dw_json_round(r->lch.L, 2), dw_json_round(r->lch.C, 2),
                          dw_json_round(isnan(hue) ? 0 : hue, 2));
  char words[64];
  dw_color_words(r->lab, words, sizeof words);
  json_t *json =
      json_pack("{s:o, s:o, s:o, s:o, s:s, s:o, s:o, s:I, s:o, s:o}", "name", dw_json_text(layer->name),
                "shape", dw_json_shape(&layer->shape), "lab", dw_json_lab(r->lab), "lch", lch, "words", words,
                "uncertainty_de00", dw_json_round(r->uncertainty_de00, 2), "spread_de00",
                dw_json_round(r->spread_de00, 2), "pixels", (json_int_t)r->pixels, "shares", shares,
                "warnings", dw_json_notes(&r->notes));
  if (layer->has_share) {
    json = dw_json_with(json, "share", dw_json_round(layer->share, 4));
    json = dw_json_with(json, "share_doubt", dw_json_round(layer->share_doubt, 4));
  }
  return dw_json_with(json, "flake", flake_json(r));
}

json_t *dw_json_light(const dw_light_info *light) {
  return json_pack("{s:o, s:I, s:o, s:o, s:o, s:o}", "method", dw_json_text(light->method_text), "patches",
                   (json_int_t)light->patches, "residual_de00", json_fit_error(light, &light->residual),
                   "left_out_de00", json_fit_error(light, &light->left_out), "uncertainty_de00",
                   dw_json_round(light->uncertainty_de00, 2), "warnings", dw_json_notes(&light->notes));
}

json_t *dw_json_corners(const dw_corners *corners) {
  json_t *list = json_array();
  for (size_t i = 0; i < 8; i++) list = dw_json_and(list, dw_json_round(corners->xy[i], 2));
  return list;
}

/* Adds where the card is; out is given up when memory runs out. */
static json_t *with_corners(json_t *out, const dw_photo_reading *reading) {
  if (!reading->has_corners) return out;
  return dw_json_with(out, "card", json_pack("{s:o}", "corners", dw_json_corners(&reading->corners)));
}

json_t *dw_json_reading(const dw_photo_reading *reading) {
  const dw_photo_info *photo = &reading->photo;
  json_t *layers = json_array();
  for (size_t i = 0; i < reading->n; i++) layers = dw_json_and(layers, dw_json_layer(&reading->layer[i]));
  json_t *out =
      json_pack("{s:{s:o, s:i, s:i, s:o, s:o, s:o}, s:o, s:o}", "photo", "path", dw_json_text(reading->path),
                "width", photo->width, "height", photo->height, "profile", dw_json_text(photo->profile),
                "taken", dw_json_text(photo->taken), "warnings", dw_json_notes(&photo->notes), "light",
                dw_json_light(&reading->light), "layers", layers);
  return with_corners(out, reading);
}

json_t *dw_read_photo_detail(const dw_read_photo *photo, const char *layer) {
  const dw_layer_reading *own = dw_read_photo_layer(photo, layer);
  json_t *json = json_pack("{s:s, s:s, s:s, s:o, s:o}", "photo", photo->sha256, "taken",
                           photo->reading.photo.taken, "layer", layer, "marks", dw_marks_json(&photo->marks),
                           "light", dw_json_light(&photo->reading.light));
  if (!own) return json;
  json_t *flake = own->reading.flake.pixels ? flake_json(&own->reading) : json_object();
  return dw_json_with(json, "flake",
                      dw_json_with(flake, "share", dw_json_round(own->reading.shares.flake, 4)));
}
