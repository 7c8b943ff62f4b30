/* Advice and prediction. */
#include "app/bench/server.h"

#include <stdlib.h>
#include <string.h>

/* ---- values of a request ----------------------------------------------------------------------------------
 */

static pt_status number_of(const json_t *object, const char *key, double min, double max, double fallback,
                           double *out, pt_error *err) {
  const json_t *value = json_object_get(object, key);
  *out = fallback;
  if (!value || json_is_null(value)) return PT_OK;
  *out = json_number_value(value);
  if (json_is_number(value) && *out >= min && *out <= max) return PT_OK;
  return pt_fail(err, PT_USAGE, "\"%s\" must be a number from %g to %g.", key, min, max);
}

static pt_status lab_of(const json_t *value, const char *key, pt_lab *out, pt_error *err) {
  double v[3] = {0};
  bool fine = json_array_size(value) == 3;
  for (size_t i = 0; i < 3 && fine; i++) {
    const json_t *one = json_array_get(value, i);
    fine = json_is_number(one);
    v[i] = json_number_value(one);
  }
  fine = fine && v[0] >= 0 && v[0] <= 100 && v[1] >= -200 && v[1] <= 200 && v[2] >= -200 && v[2] <= 200;
  if (!fine) return pt_fail(err, PT_USAGE, "\"%s\" must be a Lab color: [L, a, b].", key);
  *out = (pt_lab){v[0], v[1], v[2]};
  return PT_OK;
}

static pt_status drops_of(const json_t *object, const pt_shelf *shelf, pt_recipe *out, pt_error *err) {
  const char *id;
  json_t *value;
  *out = (pt_recipe){0};
  json_object_foreach((json_t *)(uintptr_t)object, id, value) {
    int bottle = pt_shelf_find(shelf, id);
    double drops = json_number_value(value);
    if (bottle < 0) return pt_fail(err, PT_USAGE, "There is no bottle \"%.60s\" on the shelf.", id);
    if (!json_is_number(value) || !(drops >= 0 && drops <= PT_AMOUNT_MAX))
      return pt_fail(err, PT_USAGE, "The drops of \"%.60s\" must be a number from 0 to %d.", id,
                     PT_AMOUNT_MAX);
    if (drops > 0 && !pt_recipe_add(out, (size_t)bottle, drops))
      return pt_fail(err, PT_USAGE, "A cup can hold at most %d bottles' drops.", PT_CUP_BOTTLES_MAX);
  }
  return PT_OK;
}

static pt_status slab_of(const json_t *object, pt_slab *out, pt_error *err) {
  const json_t *over = json_object_get(object, "over");
  *out = (pt_slab){0, PT_BACKING_GRAY};
  pt_status status = number_of(object, "thickness_mm", 0.05, 100, 10, &out->thickness_mm, err);
  if (status != PT_OK || !over || json_is_null(over)) return status;
  if (json_is_string(over)) return pt_backing_parse(json_string_value(over), &out->backing, err);
  return number_of(object, "over", 0, 1, PT_BACKING_GRAY, &out->backing, err);
}

/* ---- advise -----------------------------------------------------------------------------------------------
 */

static pt_status layer_of(const json_t *value, const pt_shelf *shelf, pt_layer *out, pt_error *err) {
  const char *name = json_string_value(json_object_get(value, "name"));
  const json_t *measured = json_object_get(value, "measured");
  out->has_measured = measured && !json_is_null(measured);
  if (!name || !*name || !pt_copy_text(out->name, sizeof out->name, name))
    return pt_fail(err, PT_USAGE, "Each layer needs a \"name\" of at most %zu bytes.", sizeof out->name - 1);
  pt_status status = lab_of(json_object_get(value, "target"), "target", &out->target, err);
  if (status == PT_OK && out->has_measured) status = lab_of(measured, "measured", &out->measured, err);
  if (status == PT_OK)
    status = number_of(value, "measured_uncertainty_de00", 0, 100, 0, &out->measured_uncertainty_de00, err);
  if (status == PT_OK) status = number_of(value, "see_through", 0, 1, -1, &out->target_see_through, err);
  if (status == PT_OK) status = number_of(value, "volume_floz", 0.01, 1000, 4, &out->cup.volume_floz, err);
  if (status == PT_OK)
    status = number_of(value, "capacity_floz", 0.01, 2000, 1.25 * out->cup.volume_floz,
                       &out->cup.capacity_floz, err);
  if (status == PT_OK) status = drops_of(json_object_get(value, "drops"), shelf, &out->cup.drops, err);
  return status;
}

static pt_status request_of(const json_t *body, pt_advice_request *out, pt_error *err) {
  const json_t *layers = json_object_get(body, "layers");
  double bottles = 0;
  out->n = json_array_size(layers);
  out->rules = pt_rules_default();
  if (out->n < 1 || out->n > PT_LAYERS_MAX)
    return pt_fail(err, PT_USAGE, "\"layers\" must hold 1 to %d layers.", PT_LAYERS_MAX);
  pt_status status = slab_of(json_object_get(body, "slab"), &out->slab, err);
  if (status == PT_OK) status = number_of(body, "chroma_share", 0, 0.95, 0, &out->chroma_share, err);
  if (status == PT_OK)
    status = number_of(body, "max_drops", 1, 2000, out->rules.max_drops, &out->rules.max_drops, err);
  if (status == PT_OK)
    status =
        number_of(body, "max_bottles", 1, PT_CUP_BOTTLES_MAX, (double)out->rules.max_bottles, &bottles, err);
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
    char words[64];
    pt_color_words(result->state[i].now, words, sizeof words);
    json_object_set_new(layer, "now_words", json_string(words));
    json_array_foreach(json_object_get(layer, "advice"), k, advice)
        json_object_set(advice, "see_through", json_object_get(advice, "predicted_see_through"));
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
  pt_cup cup = {0};
  pt_slab slab;
  pt_recipe loadings;
  pt_prediction prediction;
  pt_status status = drops_of(json_object_get(x->body, "drops"), shelf, &cup.drops, err);
  if (status == PT_OK) status = number_of(x->body, "volume_floz", 0.01, 1000, 4, &cup.volume_floz, err);
  if (status == PT_OK) status = slab_of(json_object_get(x->body, "slab"), &slab, err);
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
