/* Advice and prediction. */
#include "app/bench/desk.h"
#include "app/values.h"

#include <stdlib.h>
#include <string.h>

/* ---- advise -----------------------------------------------------------------------------------------------
 */

static pt_status layer_of(const json_t *value, const pt_shelf *shelf, pt_layer *out, pt_error *err) {
  const char *name = json_string_value(json_object_get(value, "name"));
  const json_t *measured = json_object_get(value, "measured");
  out->has_measured = measured && !json_is_null(measured);
  if (!name || !*name || !pt_utf8_plain(name) || !pt_copy_text(out->name, sizeof out->name, name))
    return pt_fail(err, PT_USAGE,
                   "Each layer needs a \"name\" of at most %zu bytes, without control characters.",
                   sizeof out->name - 1);
  pt_status status = pt__lab_of(json_object_get(value, "target"), "target", &out->target, err);
  if (status == PT_OK && out->has_measured) status = pt__lab_of(measured, "measured", &out->measured, err);
  if (status == PT_OK)
    status =
        pt__number_of(value, "measured_uncertainty_de00", 0, 100, 0, &out->measured_uncertainty_de00, err);
  if (status == PT_OK) status = pt__number_of(value, "see_through", 0, 1, -1, &out->target_see_through, err);
  return status == PT_OK ? pt__cup_of(value, shelf, &out->cup, err) : status;
}

static pt_status request_of(const json_t *body, pt_advice_request *out, pt_error *err) {
  const json_t *layers = json_object_get(body, "layers");
  double bottles = 0;
  out->n = json_array_size(layers);
  out->rules = pt_rules_default();
  if (out->n < 1 || out->n > PT_LAYERS_MAX)
    return pt_fail(err, PT_USAGE, "\"layers\" must hold 1 to %d layers.", PT_LAYERS_MAX);
  pt_status status = pt__slab_of(json_object_get(body, "slab"), &out->slab, err);
  if (status == PT_OK) status = pt__number_of(body, "chroma_share", 0, 0.95, 0, &out->chroma_share, err);
  if (status == PT_OK)
    status = pt__number_of(body, "max_drops", 1, 2000, out->rules.max_drops, &out->rules.max_drops, err);
  if (status == PT_OK)
    status = pt__number_of(body, "max_bottles", 1, PT_CUP_BOTTLES_MAX, (double)out->rules.max_bottles,
                           &bottles, err);
  out->rules.max_bottles = (size_t)bottles;
  for (size_t i = 0; i < out->n && status == PT_OK; i++)
    status = layer_of(json_array_get(layers, i), out->shelf, &out->layer[i], err);
  return status;
}

/* What a page shows beside the command line's own keys. */
static json_t *advice_json(const pt_advice_request *request, const pt_advice_result *result) {
  json_t *root = pt_json_advice(request, result);
  size_t i, k;
  json_t *layer, *advice;
  json_array_foreach(json_object_get(root, "layers"), i, layer) {
    bool whole = json_object_set_new(layer, "now_words", pt__color_words_json(result->state[i].now)) == 0;
    json_array_foreach(json_object_get(layer, "advice"), k, advice) whole =
        json_object_set(advice, "see_through", json_object_get(advice, "predicted_see_through")) == 0 &&
        whole;
    if (whole) continue;
    json_decref(root);
    return NULL;
  }
  return root;
}

pt_status pt__advise_post(pt__exchange *x, pt_error *err) {
  pt_shelf *shelf = NULL;
  pt_advice_result *result = NULL;
  pt_advice_request *request = calloc(1, sizeof *request);
  pt_status status = request ? pt__shelf_get(x->bench, &shelf, err) : pt_fail_memory(err, "the advice");
  if (status == PT_OK) {
    request->shelf = shelf;
    status = request_of(x->body, request, err);
  }
  if (status == PT_OK) status = pt_advise(request, &x->bench->plugins, &result, err);
  if (status == PT_OK && !(x->json = advice_json(request, result)))
    status = pt_fail_memory(err, "the advice");
  pt_advice_result_free(result);
  pt_shelf_free(shelf);
  free(request);
  return status;
}

/* ---- predict ----------------------------------------------------------------------------------------------
 */

static pt_status predict(pt__exchange *x, const pt_shelf *shelf, pt_error *err) {
  pt_cup cup;
  pt_slab slab;
  pt_recipe loadings;
  pt_prediction prediction;
  pt_status status = pt__cup_of(x->body, shelf, &cup, err);
  if (status == PT_OK) status = pt__slab_of(json_object_get(x->body, "slab"), &slab, err);
  if (status != PT_OK) return status;
  pt_cup_loadings(&cup, &loadings);
  status = pt_predict(shelf, &loadings, &slab, &prediction, err);
  if (status == PT_OK && !(x->json = pt_json_prediction(&prediction)))
    status = pt_fail_memory(err, "the prediction");
  return status;
}

pt_status pt__predict_post(pt__exchange *x, pt_error *err) {
  pt_shelf *shelf = NULL;
  pt_status status = pt__shelf_get(x->bench, &shelf, err);
  if (status == PT_OK) status = predict(x, shelf, err);
  pt_shelf_free(shelf);
  return status;
}
