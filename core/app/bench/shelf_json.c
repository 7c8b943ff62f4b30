/* The shelf as the page shows it: swatches of every bottle, what was learned of it, and what can't be
 * predicted. */
#include "app/bench/on_bench.h"
#include "dropwise/report_bottle.h"

#include <stdlib.h>
#include <string.h>

static json_t *swatches_json(const dw_shelf *shelf, size_t bottle) {
  dw_bottle_look look;
  return dw_bottle_look_at(shelf, bottle, &look, NULL) == DW_OK ? dw_json_swatches(&look) : json_array();
}

/* b: on the shelf; kept: what the book holds of it, or NULL. */
static json_t *bottle_json(const dw_shelf *shelf, size_t i, const dw_book_bottle *kept) {
  const dw_bottle *b = &shelf->bottle[i];
  return json_pack("{s:s, s:s, s:s, s:o, s:o, s:o, s:s, s:s, s:I, s:I, s:f, s:b, s:b, s:o}", "id", b->id,
                   "title", b->title, "role", dw_role_name(b->role), "drop_ml", dw_json_round(b->drop_ml, 5),
                   "strength", dw_json_round(b->strength, 3), "strength_sd", dw_json_round(b->strength_sd, 3),
                   "learned", kept ? kept->learned : "", "lot", kept ? kept->lot_name : "", "chips",
                   (json_int_t)(kept ? kept->chips : 0), "pours", (json_int_t)(kept ? kept->pours : 0),
                   "max_loading", b->max_loading, "invented", b->origin == DW_ORIGIN_INVENTED, "known", 1,
                   "swatches", swatches_json(shelf, i));
}

/* In the book, but without chips: its color can't be told. */
static json_t *unknown_json(const dw_book_bottle *b) {
  return json_pack("{s:s, s:s, s:s, s:o, s:o, s:o, s:s, s:s, s:I, s:I, s:n, s:b, s:b, s:[]}", "id", b->slug,
                   "title", b->title, "role", dw_role_name(b->role), "drop_ml", dw_json_round(b->drop_ml, 5),
                   "strength", dw_json_round(b->strength, 3), "strength_sd", dw_json_round(b->strength_sd, 3),
                   "learned", b->learned, "lot", b->lot_name, "chips", (json_int_t)b->chips, "pours",
                   (json_int_t)b->pours, "max_loading", "invented", 0, "known", 0, "swatches");
}

static const dw_book_bottle *kept_of(const dw_book_bottle *list, size_t n, const char *id) {
  for (size_t i = 0; i < n; i++)
    if (strcmp(list[i].slug, id) == 0) return &list[i];
  return NULL;
}

/* Marks the bottles that only the built-in photo of chips made known. */
static dw_status mark_samples(dw_bench *bench, json_t *bottles, dw_error *err) {
  char(*slug)[DW_ID_ROOM];
  size_t n, at;
  json_t *bottle;
  dw_status status = dw_chips_photo_bottles(bench->book, bench->sample_chips, &slug, &n, err);
  json_array_foreach(bottles, at, bottle) {
    bool sample = false;
    for (size_t i = 0; i < n && !sample; i++)
      sample = strcmp(slug[i], json_string_value(json_object_get(bottle, "id"))) == 0;
    if (json_object_set_new(bottle, "sample", json_boolean(sample)) != 0 && status == DW_OK)
      status = dw_fail_memory(err, "the shelf");
  }
  free(slug);
  return status;
}

dw_status dw__shelf_json(dw_bench *bench, json_t **out, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_book_bottle *list = NULL;
  dw_book_shelf_info info = {0};
  size_t n = 0;
  dw_status status = dw_book_shelf(bench->book, &shelf, &info, err);
  if (status == DW_OK) status = dw_book_bottle_list(bench->book, false, &list, &n, err);
  if (status != DW_OK) goto done;
  json_t *bottles = json_array();
  for (size_t i = 0; i < shelf->n; i++)
    bottles = dw_json_and(bottles, bottle_json(shelf, i, kept_of(list, n, shelf->bottle[i].id)));
  for (size_t i = 0; i < n; i++)
    if (dw_shelf_find(shelf, list[i].slug) < 0 && (!list[i].starter || list[i].chips > 0))
      bottles = dw_json_and(bottles, unknown_json(&list[i]));
  status = mark_samples(bench, bottles, err);
  *out = json_pack("{s:b, s:s?, s:s, s:{s:f, s:f, s:f}, s:o}", "invented", info.invented, "warning",
                   dw_shelf_warning(shelf), "fitted", info.fitted, "drop_ml", "min", DW_DROP_ML_MIN, "max",
                   DW_DROP_ML_MAX, "usual", DW_DROP_ML_DEFAULT, "bottles", bottles);
  if (!*out && status == DW_OK) status = dw_fail_memory(err, "the shelf");
done:
  free(list);
  dw_shelf_free(shelf);
  return status;
}
