/* One batch: what was in its cups, what was read of it, the photo and its marks. */
#include "app/bench/desk.h"
#include "app/values.h"

#include <stdlib.h>
#include <string.h>

static const char *layer_name(const pt_pattern *pattern, int64_t id) {
  for (size_t i = 0; i < pattern->n; i++)
    if (pattern->layer[i].id == id) return pattern->layer[i].name;
  return "";
}

static json_t *additions_json(const pt_book_addition *list, size_t n) {
  json_t *out = json_array();
  for (size_t i = 0; i < n; i++) {
    if (!list[i].slug[0] && list[i].clear_floz <= 0) continue; /* what a correction left of one */
    out = pt_json_and(out,
                      list[i].slug[0]
                          ? json_pack("{s:s, s:s, s:f, s:s}", "when", list[i].added, "bottle", list[i].slug,
                                      "drops", list[i].drops, "lot", list[i].lot)
                          : json_pack("{s:s, s:f}", "when", list[i].added, "clear_floz", list[i].clear_floz));
  }
  return out;
}

static json_t *drops_json(const pt_book_addition *list, size_t n) {
  json_t *out = json_object();
  for (size_t i = 0; i < n; i++) {
    if (!list[i].slug[0]) continue;
    double before = json_number_value(json_object_get(out, list[i].slug));
    out = pt_json_with(out, list[i].slug, pt_json_round(before + list[i].drops, 2));
  }
  return out;
}

static pt_status cup_json(pt_book *book, int64_t batch, const pt_pattern_layer *layer, json_t *cups,
                          pt_error *err) {
  pt_book_cup cup;
  pt_book_addition *list = NULL;
  size_t n = 0;
  pt_status status = pt_book_cup_find(book, batch, layer->id, &cup, err);
  if (status == PT_NOT_FOUND) return PT_OK;
  if (status == PT_OK) status = pt_book_cup_additions(book, cup.id, &list, &n, err);
  if (status == PT_OK &&
      json_array_append_new(cups, json_pack("{s:s, s:f, s:f, s:o, s:o}", "layer", layer->name, "volume_floz",
                                            cup.volume_floz, "capacity_floz", cup.capacity_floz, "drops",
                                            drops_json(list, n), "log", additions_json(list, n))) != 0)
    status = pt_fail_memory(err, "a cup");
  free(list);
  return status;
}

static pt_status readings_json(pt_book *book, int64_t batch, const pt_pattern *pattern, json_t *readings,
                               pt_error *err) {
  pt_reading_kept *list = NULL;
  size_t n = 0;
  pt_status status = pt_reading_list(book, batch, &list, &n, err);
  for (size_t i = 0; i < n && status == PT_OK; i++)
    if (json_array_append_new(
            readings, json_pack("{s:s, s:i, s:o, s:o, s:o, s:o, s:s, s:o}", "layer",
                                layer_name(pattern, list[i].layer), "bait", list[i].bait, "lab",
                                pt_json_lab(list[i].lab), "words", pt__color_words_json(list[i].lab),
                                "uncertainty_de00", pt_json_round(list[i].uncertainty_de00, 2), "spread_de00",
                                pt_json_round(list[i].spread_de00, 2), "taken", list[i].taken, "photo",
                                list[i].photo[0] ? json_string(list[i].photo) : json_null())) != 0)
      status = pt_fail_memory(err, "the readings");
  free(list);
  return status;
}

static pt_status batch_json(pt_book *book, int64_t id, json_t **out, pt_error *err) {
  pt_batch batch;
  pt_pattern pattern;
  char photo[PT_SHA256_ROOM] = "", *marks = NULL, *light = NULL;
  json_t *cups = json_array(), *readings = json_array();
  pt_status status = pt_batch_get(book, id, &batch, err);
  if (status == PT_OK) status = pt_pattern_get(book, batch.pattern, &pattern, err);
  for (size_t i = 0; status == PT_OK && i < pattern.n; i++)
    status = cup_json(book, id, &pattern.layer[i], cups, err);
  if (status == PT_OK) status = readings_json(book, id, &pattern, readings, err);
  if (status == PT_OK) {
    bool seen = pt_batch_look(book, id, photo, &marks, &light, NULL) == PT_OK;
    *out =
        json_pack("{s:I, s:I, s:s, s:s, s:b, s:s, s:o, s:o, s:o, s:O, s:O}", "id", (json_int_t)id, "pattern",
                  (json_int_t)batch.pattern, "name", batch.name, "poured", batch.poured, "good", batch.good,
                  "note", batch.note, "photo", seen ? json_string(photo) : json_null(), "marks",
                  pt__parsed(marks), "light", pt__parsed(light), "cups", cups, "readings", readings);
    if (!*out) status = pt_fail_memory(err, "the batch");
  }
  free(marks);
  free(light);
  json_decref(cups);
  json_decref(readings);
  return status;
}

pt_status pt__batch_get(pt__exchange *x, pt_error *err) {
  pt_status status = pt__book_begin_reading(x->bench, err);
  if (status != PT_OK) return status;
  return pt__book_end(x->bench, batch_json(x->bench->book, pt__id(x, 0), &x->json, err), err);
}

pt_status pt__batch_patch(pt__exchange *x, pt_error *err) {
  const json_t *good = json_object_get(x->body, "good");
  const char *note;
  pt_book *book = x->bench->book;
  int64_t id = pt__id(x, 0);
  pt_status status = pt__text_of(x->body, "note", false, &note, err);
  if (status == PT_OK && good && !json_is_boolean(good))
    status = pt_fail(err, PT_USAGE, "\"good\" must be true or false.");
  if (status == PT_OK) status = pt__book_begin(x->bench, err);
  if (status != PT_OK) return status;
  if (good) status = pt_batch_set_good(book, id, json_is_true(good), err);
  if (status == PT_OK && note) status = pt_batch_set_note(book, id, note, err);
  if (status == PT_OK) status = batch_json(book, id, &x->json, err);
  return pt__book_end(x->bench, status, err);
}
