/* Layers, cups and limits of a request, as the adviser takes them. */
#include "app/bench/question.h"

#include "app/bench/request.h"
#include "app/bench/transaction.h"
#include "dropwise/batch_tone.h"

#include <math.h>
#include <string.h>

static dw_status layer_of(const json_t *value, const dw_shelf *shelf, dw_layer *out, dw_error *err) {
  const char *name = json_string_value(json_object_get(value, "name"));
  const json_t *measured = json_object_get(value, "measured");
  out->has_measured = measured && !json_is_null(measured);
  if (!name || !*name || !dw_utf8_plain(name) || !dw_copy_text(out->name, sizeof out->name, name))
    return dw_fail(err, DW_USAGE,
                   "Each layer needs a \"name\" of at most %zu bytes, without control characters.",
                   sizeof out->name - 1);
  dw_status status = DW_OK;
  out->no_target = dw_json_absent(json_object_get(value, "target"));
  if (!out->no_target) status = dw_json_lab_of(json_object_get(value, "target"), "target", &out->target, err);
  if (status == DW_OK && out->has_measured)
    status = dw_json_lab_of(measured, "measured", &out->measured, err);
  if (status == DW_OK)
    status = dw_json_number_of(value, "measured_uncertainty_de00", 0, 100, DW_MEASURED_DOUBT_DE00,
                               &out->measured_uncertainty_de00, err);
  if (status == DW_OK)
    status = dw_json_number_of(value, "see_through", 0, 1, -1, &out->target_see_through, err);
  return status == DW_OK ? dw_json_cup_of(value, shelf, &out->cup, err) : status;
}

static dw_status limits_of(const json_t *body, dw_advice_request *out, dw_error *err) {
  double bottles = 0;
  dw_status status = dw_json_number_of(body, "chroma_share", 0, 0.95, 0, &out->chroma_share, err);
  if (status == DW_OK)
    status = dw_json_number_of(body, "max_drops", 1, 2000, out->rules.max_drops, &out->rules.max_drops, err);
  if (status == DW_OK)
    status = dw_json_number_of(body, "max_bottles", 1, DW_CUP_BOTTLES_MAX, (double)out->rules.max_bottles,
                               &bottles, err);
  out->rules.max_bottles = (size_t)bottles;
  return status;
}

static dw_status layers_of(const json_t *body, dw_advice_request *out, dw_error *err) {
  const json_t *layers = json_object_get(body, "layers");
  out->n = json_array_size(layers);
  if (out->n < 1 || out->n > DW_LAYERS_MAX)
    return dw_fail(err, DW_USAGE, "\"layers\" must hold 1 to %d layers.", DW_LAYERS_MAX);
  dw_status status = dw_json_slab_of(json_object_get(body, "slab"), &out->slab, err);
  for (size_t i = 0; i < out->n && status == DW_OK; i++)
    status = layer_of(json_array_get(layers, i), out->shelf, &out->layer[i], err);
  return status;
}

static bool has_color(const dw_layer *layer) {
  return layer->has_measured || layer->cup.drops.n > 0;
}

/* What the pattern has for a layer of that name. */
static dw_status take_tone(const dw__asker *from, dw_layer *layer, dw_error *err) {
  const bool no_target = layer->no_target;
  const dw_pattern_layer *kept = NULL;
  for (size_t i = 0; i < from->pattern.n && !kept; i++)
    if (strcmp(from->pattern.layer[i].name, layer->name) == 0) kept = &from->pattern.layer[i];
  dw_status status = kept ? dw_layer_tone_take(from->book, kept, layer, err) : DW_OK;
  layer->no_target = no_target;
  if (kept && kept->has_target && !no_target) layer->target_doubt_de00 = kept->target_uncertainty_de00;
  if (status == DW_OK && no_target && !layer->has_tone && !(from->blends && has_color(layer)))
    status = dw_fail(err, DW_USAGE, "\"target\" of layer %s must be [L, a, b]: it has no natural tone.",
                     layer->name);
  return status;
}

/* The layers as the page has them; of a pattern with their tones. */
static dw_status load_layers(const json_t *body, const dw__asker *from, dw_batch_question *question,
                             dw_error *err) {
  dw_status status =
      dw_batch_question_begin(from->book, from->pattern.id ? &from->pattern : NULL, question, err);
  if (status == DW_OK) status = layers_of(body, &question->request, err);
  for (size_t i = 0; i < question->request.n && status == DW_OK; i++)
    status = take_tone(from, &question->request.layer[i], err);
  return status;
}

/* All layers of the pattern: the cups of a batch, or the next ones. */
static dw_status load_pattern(const json_t *body, const dw__asker *from, dw_batch_question *question,
                              dw_error *err) {
  const json_t *slab = json_object_get(body, "slab");
  dw_slab said = {NAN, NAN};
  dw_cup fresh = {0};
  dw_batch batch = {0};
  const char *name;
  dw_status status = dw_json_text_of(body, "batch", false, &name, err);
  if (status == DW_OK && name) status = dw_batch_find(from->book, from->pattern.id, name, &batch, err);
  if (status == DW_OK && !dw_json_absent(slab)) status = dw_json_slab_of(slab, &said, err);
  if (status == DW_OK)
    status = dw_json_number_of(body, "volume_floz", 0.01, 1000, 0, &fresh.volume_floz, err);
  if (status == DW_OK)
    status = dw_json_number_of(body, "capacity_floz", 0.01, 2000, 0, &fresh.capacity_floz, err);
  return status == DW_OK ? dw_batch_question_load(from->book, &from->pattern, batch.id,
                                                  question->request.shelf, &fresh, &said, question, err)
                         : status;
}

dw_status dw__question_of(dw__exchange *x, dw__asker *from, dw_batch_question *question, dw_error *err) {
  const bool known = !dw_json_absent(json_object_get(x->body, "pattern"));
  dw_status status = dw__book_open_aside(x->bench, &from->book, err);
  if (status == DW_OK && known) status = dw__pattern_of(from->book, x->body, &from->pattern, err);
  if (status == DW_OK && known && !json_object_get(x->body, "layers"))
    status = load_pattern(x->body, from, question, err);
  else if (status == DW_OK)
    status = load_layers(x->body, from, question, err);
  if (status == DW_OK) status = limits_of(x->body, &question->request, err);
  if (status == DW_OK && question->request.n == 0)
    status = dw_fail(err, DW_NOT_FOUND, "No layer of \"%s\" can be advised on.", from->pattern.name);
  question->plugins = &x->bench->plugins;
  return status;
}
