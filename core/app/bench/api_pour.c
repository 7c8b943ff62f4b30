/* Drops go into a cup, the bait is measured, the batch is done. */
#include "app/bench/desk.h"
#include "app/bench/looks.h"
#include "app/bench/request.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static void now_text(char out[DW_TIME_ROOM]) {
  time_t now = time(NULL);
  struct tm utc;
  gmtime_r(&now, &utc);
  strftime(out, DW_TIME_ROOM, "%Y-%m-%dT%H:%M:%SZ", &utc);
}

static json_t *cup_named(const json_t *cups, const char *layer) {
  size_t i;
  json_t *cup;
  json_array_foreach(cups, i, cup) {
    const char *name = json_string_value(json_object_get(cup, "layer"));
    if (name && strcmp(name, layer) == 0) return cup;
  }
  return NULL;
}

/* Saves changed cups (and perhaps a begun batch) with the work. */
static dw_status end_with_cups(dw__exchange *x, dw__work *work, const json_t *cups, const int64_t *batch,
                               dw_status status, dw_error *err) {
  char *text = status == DW_OK ? json_dumps(cups, JSON_COMPACT | JSON_REAL_PRECISION(10)) : NULL;
  if (status == DW_OK && !text) status = dw_fail_memory(err, "the cups");
  dw_work_change change = {.cups = text, .batch = batch, .made = batch ? &work->mark : NULL};
  status = dw__work_end(x, work, &change, status, err);
  free(text);
  return status;
}

/* ---- poured -----------------------------------------------------------------------------------------------
 */

typedef struct addition {
  const char *layer;
  dw_recipe drops;
  double clear_floz;
} addition;

static dw_status addition_of(const json_t *body, const dw_shelf *shelf, addition *out, dw_error *err) {
  dw_status status = dw_json_text_of(body, "layer", true, &out->layer, err);
  if (status == DW_OK) status = dw_json_drops_of(json_object_get(body, "add"), shelf, &out->drops, err);
  if (status == DW_OK) status = dw_json_number_of(body, "add_clear_floz", 0, 1000, 0, &out->clear_floz, err);
  if (status == DW_OK && out->drops.n == 0 && out->clear_floz <= 0)
    status = dw_fail(err, DW_USAGE, "Nothing was added: give drops or clear base.");
  return status;
}

static dw_status check_room(const dw_cup *cup, const dw_shelf *shelf, const addition *add, dw_error *err) {
  double filled = dw_cup_filled_floz(cup, shelf);
  if (filled <= cup->capacity_floz * 1.0001) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "The cup for %s would run over: %.2f fl oz in a cup of %.2f.", add->layer,
                 filled, cup->capacity_floz);
}

static json_t *drops_json(const dw_recipe *drops, const dw_shelf *shelf) {
  json_t *out = json_object();
  for (size_t i = 0; i < drops->n; i++) {
    double n = drops->part[i].amount;
    out = dw_json_with(out, shelf->bottle[drops->part[i].bottle].id,
                       n == floor(n) ? json_integer((json_int_t)n) : json_real(n));
  }
  return out;
}

/* What was measured was the cup before: it is no longer the color it has. False when memory is out. */
static bool cup_write(json_t *json, const dw_cup *cup, const dw_shelf *shelf, const addition *add) {
  char now[DW_TIME_ROOM];
  now_text(now);
  json_t *log = json_object_get(json, "log");
  if (!log && json_object_set_new(json, "log", log = json_array()) != 0) return false;
  json_t *entry = json_pack("{s:s, s:o, s:f}", "when", now, "add", drops_json(&add->drops, shelf),
                            "add_clear_floz", add->clear_floz);
  json_object_del(json, "measured_uncertainty_de00");
  return json_array_append_new(log, entry) == 0 &&
         json_object_set_new(json, "drops", drops_json(&cup->drops, shelf)) == 0 &&
         json_object_set_new(json, "volume_floz", json_real(cup->volume_floz)) == 0 &&
         json_object_set_new(json, "measured", json_null()) == 0;
}

static dw_status pour(json_t *cups, const dw_shelf *shelf, const addition *add, dw_error *err) {
  json_t *json = cup_named(cups, add->layer);
  dw_cup cup;
  if (!json) return dw_fail(err, DW_NOT_FOUND, "There is no cup for a layer \"%.60s\".", add->layer);
  dw_status status = dw_json_cup_of(json, shelf, &cup, err);
  if (status != DW_OK) return status;
  cup.volume_floz += add->clear_floz;
  for (size_t i = 0; i < add->drops.n; i++)
    if (!dw_recipe_add(&cup.drops, add->drops.part[i].bottle, add->drops.part[i].amount))
      return dw_fail(err, DW_BAD_INPUT, "A cup can hold at most %d bottles' drops.", DW_CUP_BOTTLES_MAX);
  status = check_room(&cup, shelf, add, err);
  if (status == DW_OK && !cup_write(json, &cup, shelf, add)) status = dw_fail_memory(err, "the cup");
  return status;
}

dw_status dw__work_pour_post(dw__exchange *x, dw_error *err) {
  dw__work work;
  addition add;
  dw_status status = dw__work_begin(x, true, &work, err);
  if (status != DW_OK) return status;
  json_t *cups = dw__parsed(work.row.cups);
  status = addition_of(x->body, work.shelf, &add, err);
  if (status == DW_OK) status = pour(cups, dw__work_held(&work), &add, err);
  status = end_with_cups(x, &work, cups, NULL, status, err);
  json_decref(cups);
  return status;
}

/* ---- the batch's cups, brought to what the work's cups hold -----------------------------------------------
 */

static double drops_in(const dw_book_addition *list, size_t n, const char *slug) {
  double all = 0;
  for (size_t i = 0; i < n; i++)
    if (strcmp(list[i].slug, slug) == 0) all += list[i].drops;
  return all;
}

static bool named_before(const dw_book_addition *list, size_t i) {
  for (size_t j = 0; j < i; j++)
    if (strcmp(list[j].slug, list[i].slug) == 0) return true;
  return false;
}

/* A cup that holds less than the book says was written down wrong: nothing comes out of a cup again. */
static dw_status take_corrections(dw_book *book, const dw_book_cup *kept, const dw_book_addition *list,
                                  size_t n, const dw_cup *cup, const dw_shelf *shelf, dw_error *err) {
  dw_status status = DW_OK;
  if (kept->volume_floz > cup->volume_floz + 1e-6)
    status = dw_book_cup_correct(book, kept->id, NULL, kept->volume_floz - cup->volume_floz, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    if (!list[i].slug[0] || named_before(list, i)) continue;
    int bottle = dw_shelf_find(shelf, list[i].slug);
    double now = bottle < 0 ? 0 : dw_recipe_amount(&cup->drops, (size_t)bottle);
    double less = drops_in(list, n, list[i].slug) - now;
    if (less > 1e-6) status = dw_book_cup_correct(book, kept->id, list[i].slug, less, err);
  }
  return status;
}

static dw_status add_missing(dw_book *book, const dw_book_cup *kept, const dw_book_addition *list, size_t n,
                             const dw_cup *cup, const dw_shelf *shelf, dw_error *err) {
  dw_status status = DW_OK;
  if (cup->volume_floz > kept->volume_floz + 1e-6)
    status = dw_book_cup_add(book, kept->id, NULL, cup->volume_floz - kept->volume_floz, err);
  for (size_t i = 0; i < cup->drops.n && status == DW_OK; i++) {
    const char *slug = shelf->bottle[cup->drops.part[i].bottle].id;
    double missing = cup->drops.part[i].amount - drops_in(list, n, slug);
    if (missing > 1e-6) status = dw_book_cup_add(book, kept->id, slug, missing, err);
  }
  return status;
}

static dw_status bring_to(dw_book *book, const dw_book_cup *kept, const dw_cup *cup, const dw_shelf *shelf,
                          dw_error *err) {
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_status status = dw_book_cup_additions(book, kept->id, &list, &n, err);
  if (status == DW_OK) status = dw_book_cup_set_capacity(book, kept->id, cup->capacity_floz, err);
  if (status == DW_OK) status = take_corrections(book, kept, list, n, cup, shelf, err);
  if (status == DW_OK) status = add_missing(book, kept, list, n, cup, shelf, err);
  free(list);
  return status;
}

static dw_status sync_cup(dw_book *book, int64_t batch, const dw_pattern_layer *layer, const json_t *json,
                          const dw_shelf *shelf, dw_error *err) {
  dw_cup cup;
  dw_book_cup kept;
  int64_t id;
  dw_status status = dw_json_cup_of(json, shelf, &cup, err);
  if (status != DW_OK) return status;
  status = dw_book_cup_find(book, batch, layer->id, &kept, err);
  if (status == DW_NOT_FOUND) {
    status = dw_book_cup_begin(book, batch, layer->id, cup.volume_floz, cup.capacity_floz, &id, err);
    if (status == DW_OK) status = dw_book_cup_find(book, batch, layer->id, &kept, err);
  }
  return status == DW_OK ? bring_to(book, &kept, &cup, shelf, err) : status;
}

/* Begins the batch when the work has none; cups without a drop stay out of it. */
static dw_status sync_batch(dw_book *book, const dw__work *work, const json_t *cups, int64_t *batch,
                            dw_error *err) {
  dw_status status = DW_OK;
  *batch = work->row.batch;
  if (!*batch) status = dw_batch_begin(book, work->pattern.id, NULL, NULL, batch, err);
  for (size_t i = 0; i < work->pattern.n && status == DW_OK; i++) {
    const dw_pattern_layer *layer = &work->pattern.layer[i];
    const json_t *cup = cup_named(cups, layer->name);
    if (json_object_size(json_object_get(cup, "drops")) == 0) continue;
    status = sync_cup(book, *batch, layer, cup, dw__work_held(work), err);
  }
  return status;
}

/* ---- measured ---------------------------------------------------------------------------------------------
 */

static dw_status cups_measured(json_t *cups, const dw_read_photo *photo, dw_error *err) {
  for (size_t i = 0; i < photo->reading.n; i++) {
    const dw_layer_reading *layer = &photo->reading.layer[i];
    json_t *cup = cup_named(cups, layer->name);
    if (!cup) continue;
    json_t *doubt = dw_json_round(layer->reading.uncertainty_de00, 2);
    bool whole = json_object_set_new(cup, "measured_uncertainty_de00", doubt) == 0 &&
                 json_object_set_new(cup, "measured", dw_json_lab(layer->reading.lab)) == 0;
    if (!whole) return dw_fail_memory(err, "the cups");
  }
  return DW_OK;
}

static dw_status check_named(const dw__work *work, const dw_read_photo *photo, dw_error *err) {
  for (size_t i = 0; i < work->pattern.n; i++)
    if (dw_read_photo_layer(photo, work->pattern.layer[i].name)) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "No mark on the photo bears the name of a layer of \"%s\".",
                 work->pattern.name);
}

static dw_status keep_measured(dw_bench *bench, const dw__work *work, const json_t *cups,
                               const dw_read_photo *photo, int64_t bait, int64_t *batch, dw_error *err) {
  json_t *slab_json = dw__parsed(work->row.slab);
  dw_learned learned;
  dw_slab slab;
  size_t count;
  dw_status status = dw_json_slab_of(slab_json, &slab, err);
  json_decref(slab_json);
  if (status == DW_OK) status = check_named(work, photo, err);
  if (status == DW_OK) status = sync_batch(bench->book, work, cups, batch, err);
  if (status == DW_OK)
    status = dw_keep_readings(bench->book, &work->pattern, *batch, photo, work->shelf, &slab, (int)bait,
                              &count, err);
  return status == DW_OK ? dw_book_learn(bench->book, work->shelf, &learned, err) : status;
}

/* Reads the photo of the work as it is, outside of any transaction: the one that writes checks the revision.
 */
static dw_status read_work(dw__exchange *x, dw_read_photo *photo, dw_error *err) {
  dw__work work;
  char sha256[DW_SHA256_ROOM];
  dw_status status = dw__work_begin(x, true, &work, err);
  if (status != DW_OK) return status;
  memcpy(sha256, work.row.photo, sizeof sha256);
  json_t *marks = dw__parsed(work.row.marks);
  if (!sha256[0]) status = dw_fail(err, DW_BAD_INPUT, "There is no photo yet: take one of the bait first.");
  status = dw__work_end(x, &work, NULL, status, err);
  if (status == DW_OK) {
    json_decref(x->json);
    x->json = NULL;
    status = dw__look_read(x->bench, sha256, marks, photo, err);
  }
  json_decref(marks);
  return status;
}

dw_status dw__work_measured_post(dw__exchange *x, dw_error *err) {
  dw__work work;
  int64_t bait, batch = 0;
  dw_read_photo *photo = calloc(1, sizeof *photo);
  if (!photo) return dw_fail_memory(err, "the reading");
  dw_status status = dw_json_whole_of(x->body, "bait", 0, 999, 0, &bait, err);
  if (status == DW_OK) status = read_work(x, photo, err);
  if (status == DW_OK) status = dw__work_begin(x, true, &work, err);
  if (status == DW_OK) {
    json_t *cups = dw__parsed(work.row.cups);
    status = keep_measured(x->bench, &work, cups, photo, bait, &batch, err);
    if (status == DW_OK) status = cups_measured(cups, photo, err);
    status = end_with_cups(x, &work, cups, &batch, status, err);
    json_decref(cups);
  }
  dw_read_photo_free(photo);
  free(photo);
  return status;
}

/* ---- done -------------------------------------------------------------------------------------------------
 */

/* The cups for the next batch: the same size, as full as this one was begun, and empty of drops. */
static dw_status empty_cups(json_t *cups, dw_error *err) {
  size_t i;
  json_t *cup;
  json_array_foreach(cups, i, cup) {
    double added = 0;
    size_t k;
    json_t *entry;
    json_array_foreach(json_object_get(cup, "log"), k, entry) added +=
        json_number_value(json_object_get(entry, "add_clear_floz"));
    double volume = json_number_value(json_object_get(cup, "volume_floz")) - added;
    json_object_del(cup, "measured_uncertainty_de00");
    bool whole = json_object_set_new(cup, "volume_floz", json_real(volume > 0.01 ? volume : 0.01)) == 0 &&
                 json_object_set_new(cup, "drops", json_object()) == 0 &&
                 json_object_set_new(cup, "measured", json_null()) == 0 &&
                 json_object_set_new(cup, "log", json_array()) == 0;
    if (!whole) return dw_fail_memory(err, "the cups");
  }
  return DW_OK;
}

static dw_status check_poured(const dw__work *work, const json_t *cups, dw_error *err) {
  size_t i, drops = 0;
  json_t *cup;
  json_array_foreach(cups, i, cup) drops += json_object_size(json_object_get(cup, "drops"));
  if (drops || work->row.batch) return DW_OK;
  return dw_fail(err, DW_BAD_INPUT, "No cup holds a drop yet: there is no batch to finish.");
}

/* before  the batch as it was; its id 0 when it is begun only now */
static dw_status finish(dw__exchange *x, const dw__work *work, json_t *cups, dw_batch *before, int64_t *batch,
                        dw_error *err) {
  const json_t *good = json_object_get(x->body, "good");
  const char *note;
  dw_status status = dw_json_text_of(x->body, "note", false, &note, err);
  if (status == DW_OK && good && !json_is_boolean(good))
    status = dw_fail(err, DW_USAGE, "\"good\" must be true or false.");
  if (status == DW_OK) status = check_poured(work, cups, err);
  if (status == DW_OK && work->row.batch) status = dw_batch_get(x->bench->book, work->row.batch, before, err);
  if (status == DW_OK) status = sync_batch(x->bench->book, work, cups, batch, err);
  if (status == DW_OK && good) status = dw_batch_set_good(x->bench->book, *batch, json_is_true(good), err);
  if (status == DW_OK && note && *note) status = dw_batch_set_note(x->bench->book, *batch, note, err);
  if (status == DW_OK) status = empty_cups(cups, err);
  return status;
}

dw_status dw__work_finish_post(dw__exchange *x, dw_error *err) {
  dw__work work;
  dw_batch before = {0};
  int64_t done = 0, none = 0;
  dw_status status = dw__work_begin(x, true, &work, err);
  if (status != DW_OK) return status;
  json_t *cups = dw__parsed(work.row.cups);
  status = finish(x, &work, cups, &before, &done, err);
  char *text = status == DW_OK ? json_dumps(cups, JSON_COMPACT | JSON_REAL_PRECISION(10)) : NULL;
  if (status == DW_OK && !text) status = dw_fail_memory(err, "the cups");
  dw_work_change change = {.cups = text,
                           .photo = "",
                           .marks = "{}",
                           .batch = &none,
                           .made = &work.mark,
                           .closed = before.id ? &before : NULL};
  status = dw__work_end(x, &work, &change, status, err);
  if (status == DW_OK) json_object_set_new(x->json, "finished_batch", json_integer(done));
  free(text);
  json_decref(cups);
  return status;
}
