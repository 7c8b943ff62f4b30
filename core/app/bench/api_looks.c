/* Looks that one plain color does not describe: swirls, and baits turned in the light. */
#include "app/bench/on_bench.h"
#include "app/bench/request.h"
#include "app/bench/swirls.h"
#include "dropwise/batch_turn.h"
#include "dropwise/read_swirl.h"

#include <stdlib.h>
#include <string.h>

/* ---- swirls ---------------------------------------------------------------------------------------------- */

static dw_status area_put(const json_t *shape, dw_marks *marks, dw_error *err) {
  dw_mark *mark = &marks->layer[marks->n];
  if (!json_is_string(shape)) return dw_fail(err, DW_USAGE, "\"areas\" must be a list of shapes.");
  snprintf(mark->name, sizeof mark->name, "bait %zu", ++marks->n);
  return dw_shape_parse(json_string_value(shape), &mark->shape, err);
}

dw_status dw__swirl_areas(const json_t *body, const json_t *light, dw_marks **out, dw_error *err) {
  const json_t *list = json_object_get(body, "areas");
  const size_t n = json_array_size(list);
  *out = NULL;
  if (!dw_json_absent(list) && (n == 0 || n > DW_BAITS_MAX))
    return dw_fail(err, DW_USAGE, "\"areas\" must be a list of 1 to %d shapes.", DW_BAITS_MAX);
  dw_marks *marks = *out = calloc(1, sizeof *marks);
  dw_status status = marks ? dw__marks_of(light, marks, err) : dw_fail_memory(err, "the marks");
  if (status == DW_OK) marks->n = 0;
  for (size_t i = 0; i < n && status == DW_OK; i++) status = area_put(json_array_get(list, i), marks, err);
  return status;
}

dw_status dw__swirl_baits(dw_bench *bench, const char *sha256, const dw_marks *areas,
                          const dw_pattern *pattern, dw_read_photo **out, size_t *n, dw_error *err) {
  char path[4096];
  dw_find_wish wish = {.card_set = DW_CARD_USUAL};
  dw_status status = dw__photos_path(&bench->photos, sha256, path, sizeof path, err);
  if (status == DW_OK) status = dw_find_wish_take(pattern, &wish, err);
  if (status == DW_OK) status = dw__boards_take(&bench->boards, err);
  if (status != DW_OK) return status;
  status = dw_swirl_photos(path, areas, &wish, out, n, NULL, err);
  dw__boards_give(&bench->boards);
  return status;
}

/* By its targets, where every color has one; else as many colors as it has, the largest share first. */
static dw_status wish_of(const dw_pattern *pattern, dw_find_wish *out, bool *aimed, dw_error *err) {
  *out = (dw_find_wish){.card_set = DW_CARD_USUAL, .n = pattern->n};
  *aimed = true;
  for (size_t i = 0; i < pattern->n; i++) *aimed = *aimed && pattern->layer[i].has_target;
  if (!pattern->swirl) return dw_fail(err, DW_USAGE, "\"%s\" is no swirl.", pattern->name);
  return *aimed ? dw_find_wish_take(pattern, out, err) : dw_pattern_swirl_check(pattern, err);
}

static dw_status read_swirls(dw__exchange *x, const dw_marks *areas, const dw_find_wish *wish, bool aimed,
                             dw_swirls *out, dw_error *err) {
  char path[4096];
  const dw_find_wish anywhere = {.card_set = wish->card_set};
  dw_status status = dw__photos_path(&x->bench->photos, x->part[0], path, sizeof path, err);
  if (status == DW_OK) status = dw__boards_take(&x->bench->boards, err);
  if (status != DW_OK) return status;
  status = dw_swirls_read(path, areas, &anywhere, wish->n, wish->rules.target, aimed ? wish->n : 0, out, err);
  dw__boards_give(&x->bench->boards);
  return status;
}

/* What the command line's find --swirl --pattern tells. */
static dw_status tell_swirls(dw__exchange *x, const dw_marks *areas, const dw_pattern *pattern,
                             dw_error *err) {
  dw_find_wish wish;
  bool aimed = false;
  dw_swirls *swirls = calloc(1, sizeof *swirls);
  dw_status status = swirls ? wish_of(pattern, &wish, &aimed, err) : dw_fail_memory(err, "the swirls");
  if (status == DW_OK) status = read_swirls(x, areas, &wish, aimed, swirls, err);
  if (status == DW_OK) {
    x->json = dw_json_swirls(swirls, aimed ? wish.name : NULL, aimed ? wish.rules.target : NULL);
    if (!x->json) status = dw_fail_memory(err, "the swirls");
  }
  free(swirls);
  return status;
}

dw_status dw__swirl_post(dw__exchange *x, dw_error *err) {
  dw_pattern pattern;
  dw_marks *areas = NULL;
  dw_status status = dw__swirl_areas(x->body, json_object_get(x->body, "marks"), &areas, err);
  if (status == DW_OK) status = dw__pattern_read(x, &pattern, err);
  if (status == DW_OK) status = tell_swirls(x, areas, &pattern, err);
  free(areas);
  return status;
}

/* ---- a bait turned in the light --------------------------------------------------------------------------- */

typedef struct turned {
  dw_pattern pattern;
  int64_t batch, bait; /* batch 0: the target's, or not kept */
  bool keep;
  size_t n, kept;
  char path[DW_TURN_PHOTOS_MAX][4096];
  dw_turn turn;
  dw_travel_against against[DW_READ_LAYERS_MAX];
} turned;

static dw_status photos_of(dw__exchange *x, turned *out, dw_error *err) {
  const json_t *list = json_object_get(x->body, "photos");
  dw_status status = DW_OK;
  out->n = json_array_size(list);
  if (out->n < 1 || out->n > DW_TURN_PHOTOS_MAX)
    return dw_fail(err, DW_USAGE, "\"photos\" must be a list of 1 to %d photos.", DW_TURN_PHOTOS_MAX);
  for (size_t i = 0; i < out->n && status == DW_OK; i++) {
    const char *sha256 = json_string_value(json_array_get(list, i));
    if (!sha256 || !dw_sha256_valid(sha256))
      return dw_fail(err, DW_USAGE, "\"photos\" must name photos that the bench has.");
    status = dw__photos_path(&x->bench->photos, sha256, out->path[i], sizeof out->path[i], err);
  }
  return status;
}

/* "keep": {"batch": 9, "bait": 1}, or {"target": true} */
static dw_status keep_of(const json_t *body, turned *out, dw_error *err) {
  const json_t *keep = json_object_get(body, "keep");
  if (dw_json_absent(keep)) return DW_OK;
  out->keep = true;
  dw_status status = dw_json_whole_of(keep, "batch", 1, INT64_MAX, 0, &out->batch, err);
  if (status == DW_OK) status = dw_json_whole_of(keep, "bait", 1, 1000, 1, &out->bait, err);
  if (status == DW_OK && !out->batch == !json_is_true(json_object_get(keep, "target")))
    status = dw_fail(err, DW_USAGE, "\"keep\" must name a batch, or say \"target\": true.");
  return status;
}

static dw_status read_turned(dw__exchange *x, turned *t, dw_error *err) {
  const char *paths[DW_TURN_PHOTOS_MAX];
  dw_find_wish wish = {.card_set = DW_CARD_USUAL};
  for (size_t i = 0; i < t->n; i++) paths[i] = t->path[i];
  dw_status status = dw_find_wish_take(&t->pattern, &wish, err);
  if (status == DW_OK && t->pattern.swirl)
    status =
        dw_fail(err, DW_USAGE, "\"%s\" is a swirl: its colors have no layers to be turned.", t->pattern.name);
  if (status == DW_OK) status = dw__boards_take(&x->bench->boards, err);
  if (status != DW_OK) return status;
  status = dw_turn_read(paths, t->n, NULL, &wish, &t->turn, err);
  dw__boards_give(&x->bench->boards);
  return status;
}

static dw_status keep_turned(dw__exchange *x, turned *t, dw_error *err) {
  dw_book *book = x->bench->book;
  dw_status status = t->keep ? dw__book_begin(x, err) : dw__book_begin_reading(x->bench, err);
  if (status != DW_OK) return status;
  status = dw_turn_against_target(book, &t->pattern, &t->turn, t->against, err);
  if (status == DW_OK && t->keep)
    status = dw_keep_turn(book, &t->pattern, t->batch, (int)t->bait - 1, &t->turn, &t->kept, err);
  return dw__book_end(x->bench, status, err);
}

dw_status dw__turn_post(dw__exchange *x, dw_error *err) {
  turned *t = calloc(1, sizeof *t);
  dw_status status = t ? keep_of(x->body, t, err) : dw_fail_memory(err, "the readings");
  if (status == DW_OK) status = photos_of(x, t, err);
  if (status == DW_OK) status = dw__pattern_read(x, &t->pattern, err);
  if (status == DW_OK) status = read_turned(x, t, err);
  if (status == DW_OK) status = keep_turned(x, t, err);
  if (status == DW_OK)
    x->json = dw_json_with(dw_json_turn(&t->turn, t->against), "kept", json_integer((json_int_t)t->kept));
  if (status == DW_OK && !x->json) status = dw_fail_memory(err, "the travel");
  free(t);
  return status;
}
