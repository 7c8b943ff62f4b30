/* Patterns and their targets. */
#include "app/bench/desk.h"
#include "app/values.h"

#include <stdlib.h>
#include <string.h>

/* Ends the transaction with the pattern as the answer. */
static pt_status end_with_pattern(pt__exchange *x, int64_t id, pt_status status, pt_error *err) {
  pt_pattern pattern;
  if (status == PT_OK) status = pt_pattern_get(x->bench->book, id, &pattern, err);
  status = pt__book_end(x->bench, status, err);
  if (status == PT_OK && !(x->json = pt__pattern_json(&pattern))) status = pt_fail_memory(err, "the pattern");
  return status;
}

/* ---- patterns ---------------------------------------------------------------------------------------------
 */

static pt_status layer_names(const json_t *body, const char *names[PT_PATTERN_LAYERS_MAX], size_t *n,
                             pt_error *err) {
  const json_t *layers = json_object_get(body, "layers");
  *n = json_array_size(layers);
  if (*n < 1 || *n > PT_PATTERN_LAYERS_MAX)
    return pt_fail(err, PT_USAGE, "\"layers\" must name 1 to %d layers, the back first.",
                   PT_PATTERN_LAYERS_MAX);
  for (size_t i = 0; i < *n; i++)
    if (!(names[i] = json_string_value(json_array_get(layers, i))))
      return pt_fail(err, PT_USAGE, "Layer %zu has no name.", i + 1);
  return PT_OK;
}

pt_status pt__pattern_post(pt__exchange *x, pt_error *err) {
  const char *name, *note, *names[PT_PATTERN_LAYERS_MAX];
  size_t n;
  int64_t id = 0;
  pt_status status = pt__text_of(x->body, "name", true, &name, err);
  if (status == PT_OK) status = pt__text_of(x->body, "note", false, &note, err);
  if (status == PT_OK) status = layer_names(x->body, names, &n, err);
  if (status == PT_OK) status = pt__book_begin(x->bench, err);
  if (status != PT_OK) return status;
  status = pt_pattern_add(x->bench->book, name, note ? note : "", names, n, &id, err);
  status = end_with_pattern(x, id, status, err);
  if (status == PT_OK) x->status = MHD_HTTP_CREATED;
  return status;
}

/* "see_through": {"back": 0.8, "belly": null} */
static pt_status set_see_through(pt_book *book, int64_t id, const json_t *wishes, pt_error *err) {
  pt_pattern pattern;
  const pt_pattern_layer *layer;
  const char *name;
  json_t *value;
  double ratio;
  pt_status status = pt_pattern_get(book, id, &pattern, err);
  json_object_foreach((json_t *)(uintptr_t)wishes, name, value) {
    if (status == PT_OK) status = pt_pattern_layer_find(&pattern, name, &layer, err);
    if (status == PT_OK) status = pt__number_of(wishes, name, 0, 1, -1, &ratio, err);
    if (status == PT_OK) status = pt_pattern_set_see_through(book, layer->id, ratio, err);
  }
  return status;
}

pt_status pt__pattern_patch(pt__exchange *x, pt_error *err) {
  const char *name, *note;
  int64_t id = pt__id(x, 0);
  pt_book *book = x->bench->book;
  pt_status status = pt__text_of(x->body, "name", false, &name, err);
  if (status == PT_OK) status = pt__text_of(x->body, "note", false, &note, err);
  if (status == PT_OK) status = pt__book_begin(x->bench, err);
  if (status != PT_OK) return status;
  if (name) status = pt_pattern_rename(book, id, name, err);
  if (status == PT_OK && note) status = pt_pattern_set_note(book, id, note, err);
  if (status == PT_OK) status = set_see_through(book, id, json_object_get(x->body, "see_through"), err);
  return end_with_pattern(x, id, status, err);
}

pt_status pt__pattern_delete(pt__exchange *x, pt_error *err) {
  return pt__book_remove(x, pt_pattern_remove, err);
}

/* ---- targets ----------------------------------------------------------------------------------------------
 */

static pt_status target_of(const json_t *body, pt_target *out, char **detail, const char **photo,
                           pt_error *err) {
  const json_t *part = json_object_get(body, "detail");
  *out = (pt_target){.how = PT_TARGET_NUMBERS};
  pt_status status = pt__lab_of(json_object_get(body, "lab"), "lab", &out->lab, err);
  if (status == PT_OK)
    status = pt__number_of(body, "uncertainty_de00", 0, 100, 0, &out->uncertainty_de00, err);
  if (status == PT_OK) status = pt__text_of(body, "photo", false, photo, err);
  if (status == PT_OK && json_is_object(part)) {
    out->detail = *detail = json_dumps(part, JSON_COMPACT | JSON_REAL_PRECISION(10));
    if (!*detail) status = pt_fail_memory(err, "the target");
  }
  if (*photo) out->how = PT_TARGET_PHOTO;
  return status;
}

static pt_status set_target(pt_book *book, int64_t pattern_id, const char *layer_name, const char *photo,
                            pt_target *target, pt_error *err) {
  pt_pattern pattern;
  const pt_pattern_layer *layer;
  pt_status status = pt_pattern_get(book, pattern_id, &pattern, err);
  if (status == PT_OK) status = pt_pattern_layer_find(&pattern, layer_name, &layer, err);
  if (status == PT_OK && photo) status = pt_photo_find(book, photo, &target->photo, err);
  return status == PT_OK ? pt_target_set(book, layer->id, target, err) : status;
}

pt_status pt__target_post(pt__exchange *x, pt_error *err) {
  const char *layer, *photo = NULL;
  char *detail = NULL;
  pt_target target;
  pt_status status = pt__text_of(x->body, "layer", true, &layer, err);
  if (status == PT_OK) status = target_of(x->body, &target, &detail, &photo, err);
  if (status == PT_OK) status = pt__book_begin(x->bench, err);
  if (status == PT_OK) {
    status = set_target(x->bench->book, pt__id(x, 0), layer, photo, &target, err);
    status = end_with_pattern(x, pt__id(x, 0), status, err);
  }
  free(detail);
  return status;
}

static json_t *past_json(const pt_target_past *past) {
  return json_pack("{s:o, s:o, s:s, s:s, s:o, s:o}", "lab", pt_json_lab(past->lab), "uncertainty_de00",
                   pt_json_round(past->uncertainty_de00, 2), "how", pt_target_how_words(past->how), "since",
                   past->created, "photo", past->photo[0] ? json_string(past->photo) : json_null(), "detail",
                   pt__parsed(past->detail));
}

static pt_status history(pt__exchange *x, const char *layer_name, json_t *list, pt_error *err) {
  pt_pattern pattern;
  const pt_pattern_layer *layer;
  pt_target_past *past = NULL;
  size_t n = 0;
  pt_status status = pt_pattern_get(x->bench->book, pt__id(x, 0), &pattern, err);
  if (status == PT_OK) status = pt_pattern_layer_find(&pattern, layer_name, &layer, err);
  if (status == PT_OK) status = pt_target_history(x->bench->book, layer->id, &past, &n, err);
  for (size_t i = 0; i < n && status == PT_OK; i++)
    if (json_array_append_new(list, past_json(&past[i])) != 0) status = pt_fail_memory(err, "the targets");
  pt_target_history_free(past, n);
  return status;
}

pt_status pt__target_get(pt__exchange *x, pt_error *err) {
  char layer[PT_ID_ROOM];
  if (!pt__query(x, "layer", layer, sizeof layer))
    return pt_fail(err, PT_USAGE, "The address must say which layer: ?layer=back.");
  pt_status status = pt__book_begin_reading(x->bench, err);
  if (status != PT_OK) return status;
  json_t *list = json_array();
  status = pt__book_end(x->bench, history(x, layer, list, err), err);
  if (status == PT_OK && !(x->json = json_pack("{s:O}", "targets", list)))
    status = pt_fail_memory(err, "the targets");
  json_decref(list);
  return status;
}
