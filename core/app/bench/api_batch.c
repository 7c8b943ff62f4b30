/* One batch: what was in its cups, what was read of it, the photo and its marks. */
#include "app/bench/on_bench.h"
#include "app/bench/request.h"
#include "dropwise/batch.h"

#include <stdlib.h>

static dw_status cup_json(dw_book *book, int64_t batch, const dw_pattern_layer *layer, json_t *cups,
                          dw_error *err) {
  dw_book_cup cup;
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_status status = dw_book_cup_contents(book, batch, layer->id, &cup, &list, &n, err);
  if (status == DW_OK && cup.id &&
      json_array_append_new(cups, json_pack("{s:s, s:f, s:f, s:o, s:o}", "layer", layer->name, "volume_floz",
                                            cup.volume_floz, "capacity_floz", cup.capacity_floz, "drops",
                                            dw__additions_drops_json(list, n), "log",
                                            dw__additions_json(list, n))) != 0)
    status = dw_fail_memory(err, "a cup");
  free(list);
  return status;
}

static json_t *reading_json(const dw_reading_kept *r) {
  json_t *json =
      json_pack("{s:s, s:o, s:o, s:o, s:o, s:o, s:s, s:o}", "layer", r->layer_name, "bait",
                dw_json_bait_number(r->bait), "lab", dw_json_lab(r->lab), "words",
                dw__color_words_json(r->lab), "uncertainty_de00", dw_json_round(r->uncertainty_de00, 2),
                "spread_de00", dw_json_round(r->spread_de00, 2), "taken", r->taken, "photo",
                r->photo[0] ? json_string(r->photo) : json_null());
  if (!r->has_share) return json;
  json = dw_json_with(json, "share", dw_json_round(r->share, 4));
  return dw_json_with(json, "share_doubt", dw_json_round(r->share_doubt, 4));
}

static dw_status readings_json(dw_book *book, int64_t batch, json_t *readings, dw_error *err) {
  dw_reading_kept *list = NULL;
  size_t n = 0;
  dw_status status = dw_reading_list(book, batch, &list, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++)
    if (json_array_append_new(readings, reading_json(&list[i])) != 0)
      status = dw_fail_memory(err, "the readings");
  free(list);
  return status;
}

static dw_status add_good(dw_book *book, const dw_pattern *pattern, int64_t id, json_t **out, dw_error *err) {
  bool read[DW_PATTERN_LAYERS_MAX];
  dw_status status = dw_batch_layers_read(book, pattern, id, read, err);
  if (status == DW_OK) *out = dw_json_with(*out, "good_layers", dw_batch_good_json(pattern, read));
  return status;
}

static dw_status batch_json(dw_book *book, int64_t id, json_t **out, dw_error *err) {
  dw_batch batch;
  dw_pattern pattern;
  char photo[DW_SHA256_ROOM] = "", *marks = NULL, *light = NULL;
  json_t *cups = json_array(), *readings = json_array();
  dw_status status = dw_batch_get(book, id, &batch, err);
  if (status == DW_OK) status = dw_pattern_get(book, batch.pattern, &pattern, err);
  for (size_t i = 0; status == DW_OK && i < pattern.n; i++)
    status = cup_json(book, id, &pattern.layer[i], cups, err);
  if (status == DW_OK) status = readings_json(book, id, readings, err);
  if (status == DW_OK) {
    bool seen = dw_batch_look(book, id, photo, &marks, &light, NULL) == DW_OK;
    *out =
        json_pack("{s:I, s:I, s:s, s:s, s:b, s:s, s:o, s:o, s:o, s:O, s:O}", "id", (json_int_t)id, "pattern",
                  (json_int_t)batch.pattern, "name", batch.name, "poured", batch.poured, "good", batch.good,
                  "note", batch.note, "photo", seen ? json_string(photo) : json_null(), "marks",
                  dw__parsed(marks), "light", dw__parsed(light), "cups", cups, "readings", readings);
    if (batch.good) status = add_good(book, &pattern, id, out, err);
    if (status == DW_OK && !*out) status = dw_fail_memory(err, "the batch");
  }
  free(marks);
  free(light);
  json_decref(cups);
  json_decref(readings);
  return status;
}

dw_status dw__batch_get(dw__exchange *x, dw_error *err) {
  dw_status status = dw__book_begin_reading(x->bench, err);
  if (status != DW_OK) return status;
  return dw__book_end(x->bench, batch_json(x->bench->book, dw__id(x, 0), &x->json, err), err);
}

dw_status dw__batch_patch(dw__exchange *x, dw_error *err) {
  const json_t *good = json_object_get(x->body, "good");
  const char *note;
  dw_book *book = x->bench->book;
  int64_t id = dw__id(x, 0);
  dw_status status = dw_json_text_of(x->body, "note", false, &note, err);
  if (status == DW_OK) status = dw__flag_check(x->body, "good", err);
  if (status == DW_OK) status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  if (good) status = dw_batch_set_good(book, id, json_is_true(good), err);
  if (status == DW_OK && note) status = dw_batch_set_note(book, id, note, err);
  if (status == DW_OK) status = batch_json(book, id, &x->json, err);
  return dw__book_end(x->bench, status, err);
}
