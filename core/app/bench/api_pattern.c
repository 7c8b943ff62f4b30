/* Patterns and their targets. */
#include "app/bench/on_bench.h"
#include "app/bench/request.h"

#include <stdlib.h>

/* Ends the transaction with the pattern as the answer, which is made first: what can't be answered is not kept. */
static dw_status end_with_pattern(dw__exchange *x, int64_t id, dw_status status, dw_error *err) {
  dw_pattern pattern;
  if (status == DW_OK) status = dw_pattern_get(x->bench->book, id, &pattern, err);
  if (status == DW_OK && !(x->json = dw__pattern_json(&pattern))) status = dw_fail_memory(err, "the pattern");
  return dw__book_end(x->bench, status, err);
}

/* ---- patterns ---------------------------------------------------------------------------------------------
 */

static dw_status layer_names(const json_t *body, const char *names[DW_PATTERN_LAYERS_MAX], size_t *n,
                             dw_error *err) {
  const json_t *layers = json_object_get(body, "layers");
  *n = json_array_size(layers);
  if (*n < 1 || *n > DW_PATTERN_LAYERS_MAX)
    return dw_fail(err, DW_USAGE, "\"layers\" must name 1 to %d layers, the back first.",
                   DW_PATTERN_LAYERS_MAX);
  for (size_t i = 0; i < *n; i++)
    if (!(names[i] = json_string_value(json_array_get(layers, i))))
      return dw_fail(err, DW_USAGE, "Layer %zu has no name.", i + 1);
  return DW_OK;
}

/* "swirl": true, false, or the shares in percent, [60, 40] */
static dw_status set_swirl(dw_book *book, int64_t id, const json_t *swirl, dw_error *err) {
  double percent[DW_PATTERN_LAYERS_MAX];
  size_t n = json_array_size(swirl);
  if (dw_json_absent(swirl)) return DW_OK;
  bool right = json_is_boolean(swirl) || (n > 0 && n <= DW_PATTERN_LAYERS_MAX);
  for (size_t i = 0; i < n && right; i++) {
    right = json_is_number(json_array_get(swirl, i));
    percent[i] = json_number_value(json_array_get(swirl, i));
  }
  if (!right) return dw_fail(err, DW_USAGE, "\"swirl\" must be true, false, or a list of percentages.");
  return dw_pattern_set_swirl(book, id, !json_is_false(swirl), percent, n, err);
}

dw_status dw__pattern_post(dw__exchange *x, dw_error *err) {
  const char *name, *note, *names[DW_PATTERN_LAYERS_MAX];
  size_t n;
  int64_t id = 0;
  dw_status status = dw_json_text_of(x->body, "name", true, &name, err);
  if (status == DW_OK) status = dw_json_text_of(x->body, "note", false, &note, err);
  if (status == DW_OK) status = layer_names(x->body, names, &n, err);
  if (status == DW_OK) status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  status = dw_pattern_add(x->bench->book, name, note ? note : "", names, n, &id, err);
  if (status == DW_OK) status = set_swirl(x->bench->book, id, json_object_get(x->body, "swirl"), err);
  status = end_with_pattern(x, id, status, err);
  if (status == DW_OK) x->status = MHD_HTTP_CREATED;
  return status;
}

/* "see_through": {"back": 0.8, "belly": null} */
static dw_status set_see_through(dw_book *book, int64_t id, const json_t *wishes, dw_error *err) {
  dw_pattern pattern;
  const dw_pattern_layer *layer;
  const char *name;
  json_t *value;
  double ratio;
  dw_status status = dw_pattern_get(book, id, &pattern, err);
  json_object_foreach((json_t *)(uintptr_t)wishes, name, value) {
    if (status == DW_OK) status = dw_pattern_layer_find(&pattern, name, &layer, err);
    if (status == DW_OK) status = dw_json_number_of(wishes, name, 0, 1, -1, &ratio, err);
    if (status == DW_OK) status = dw_pattern_set_see_through(book, layer->id, ratio, err);
  }
  return status;
}

/* "tone": {"belly": "crawfish belly", "back": null} */
static dw_status set_tones(dw_book *book, int64_t id, const json_t *tones, dw_error *err) {
  dw_pattern pattern;
  const dw_pattern_layer *layer;
  const char *name, *tone;
  json_t *value;
  dw_status status = dw_pattern_get(book, id, &pattern, err);
  json_object_foreach((json_t *)(uintptr_t)tones, name, value) {
    if (status == DW_OK) status = dw_pattern_layer_find(&pattern, name, &layer, err);
    if (status == DW_OK) status = dw_json_text_of(tones, name, false, &tone, err);
    if (status == DW_OK) status = dw_pattern_set_tone(book, layer->id, tone, err);
  }
  return status;
}

static dw_status set_blends(dw_book *book, int64_t id, const json_t *clean, dw_error *err) {
  if (dw_json_absent(clean)) return DW_OK;
  if (!json_is_boolean(clean)) return dw_fail(err, DW_USAGE, "\"clean_blends\" must be true or false.");
  return dw_pattern_set_clean_blends(book, id, json_is_true(clean), err);
}

dw_status dw__pattern_patch(dw__exchange *x, dw_error *err) {
  const char *name, *note, *unwanted = NULL;
  int64_t id = dw__id(x, 0);
  dw_book *book = x->bench->book;
  dw_status status = dw_json_text_of(x->body, "name", false, &name, err);
  if (status == DW_OK) status = dw_json_text_of(x->body, "note", false, &note, err);
  if (status == DW_OK) status = dw_json_text_of(x->body, "unwanted", false, &unwanted, err);
  if (status == DW_OK) status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  if (name) status = dw_pattern_rename(book, id, name, err);
  if (status == DW_OK && note) status = dw_pattern_set_note(book, id, note, err);
  if (status == DW_OK) status = set_see_through(book, id, json_object_get(x->body, "see_through"), err);
  if (status == DW_OK) status = set_tones(book, id, json_object_get(x->body, "tone"), err);
  if (status == DW_OK && unwanted) status = dw_pattern_set_unwanted(book, id, unwanted, err);
  if (status == DW_OK) status = set_blends(book, id, json_object_get(x->body, "clean_blends"), err);
  if (status == DW_OK) status = set_swirl(book, id, json_object_get(x->body, "swirl"), err);
  return end_with_pattern(x, id, status, err);
}

dw_status dw__pattern_delete(dw__exchange *x, dw_error *err) {
  return dw__book_remove(x, dw_pattern_remove, err);
}

/* ---- targets ----------------------------------------------------------------------------------------------
 */

static dw_status target_of(const json_t *body, dw_target *out, char **detail, const char **photo,
                           dw_error *err) {
  const json_t *part = json_object_get(body, "detail");
  *out = (dw_target){.how = DW_TARGET_NUMBERS};
  dw_status status = dw_json_lab_of(json_object_get(body, "lab"), "lab", &out->lab, err);
  if (status == DW_OK)
    status = dw_json_number_of(body, "uncertainty_de00", 0, 100, 0, &out->uncertainty_de00, err);
  if (status == DW_OK) status = dw_json_text_of(body, "photo", false, photo, err);
  if (status == DW_OK && json_is_object(part)) {
    out->detail = *detail = dw_json_write(part, JSON_COMPACT | JSON_REAL_PRECISION(10));
    if (!*detail) status = dw_fail_memory(err, "the target");
  }
  if (*photo) out->how = DW_TARGET_PHOTO;
  return status;
}

static dw_status set_target(dw_book *book, int64_t pattern_id, const char *layer_name, const char *photo,
                            dw_target *target, dw_error *err) {
  dw_pattern pattern;
  const dw_pattern_layer *layer;
  dw_status status = dw_pattern_get(book, pattern_id, &pattern, err);
  if (status == DW_OK) status = dw_pattern_layer_find(&pattern, layer_name, &layer, err);
  if (status == DW_OK && photo) status = dw_photo_find(book, photo, &target->photo, err);
  return status == DW_OK ? dw_target_set(book, layer->id, target, err) : status;
}

dw_status dw__target_post(dw__exchange *x, dw_error *err) {
  const char *layer, *photo = NULL;
  char *detail = NULL;
  dw_target target;
  dw_status status = dw_json_text_of(x->body, "layer", true, &layer, err);
  if (status == DW_OK) status = target_of(x->body, &target, &detail, &photo, err);
  if (status == DW_OK) status = dw__book_begin(x, err);
  if (status == DW_OK) {
    status = set_target(x->bench->book, dw__id(x, 0), layer, photo, &target, err);
    status = end_with_pattern(x, dw__id(x, 0), status, err);
  }
  free(detail);
  return status;
}

static json_t *past_json(const dw_target_past *past) {
  return json_pack("{s:o, s:o, s:s, s:s, s:o, s:o}", "lab", dw_json_lab(past->lab), "uncertainty_de00",
                   dw_json_round(past->uncertainty_de00, 2), "how", dw_target_how_words(past->how), "since",
                   past->created, "photo", past->photo[0] ? json_string(past->photo) : json_null(), "detail",
                   dw__parsed(past->detail));
}

static dw_status history(dw__exchange *x, const char *layer_name, json_t *list, dw_error *err) {
  dw_pattern pattern;
  const dw_pattern_layer *layer;
  dw_target_past *past = NULL;
  size_t n = 0;
  dw_status status = dw_pattern_get(x->bench->book, dw__id(x, 0), &pattern, err);
  if (status == DW_OK) status = dw_pattern_layer_find(&pattern, layer_name, &layer, err);
  if (status == DW_OK) status = dw_target_history(x->bench->book, layer->id, &past, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++)
    if (json_array_append_new(list, past_json(&past[i])) != 0) status = dw_fail_memory(err, "the targets");
  dw_target_history_free(past, n);
  return status;
}

dw_status dw__target_get(dw__exchange *x, dw_error *err) {
  char layer[DW_ID_ROOM];
  if (!dw__query(x, "layer", layer, sizeof layer))
    return dw_fail(err, DW_USAGE, "The address must say which layer: ?layer=back.");
  dw_status status = dw__book_begin_reading(x->bench, err);
  if (status != DW_OK) return status;
  json_t *list = json_array();
  status = dw__book_end(x->bench, history(x, layer, list, err), err);
  if (status == DW_OK && !(x->json = json_pack("{s:O}", "targets", list)))
    status = dw_fail_memory(err, "the targets");
  json_decref(list);
  return status;
}
