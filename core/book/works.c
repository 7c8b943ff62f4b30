#include "book/works.h"
#include "book/bottles.h"
#include "book/sql.h"
#include "dropwise/book_bench.h"
#include "dropwise/json.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define AMOUNT_TINY 1e-6

typedef struct work {
  int64_t id, pattern, batch;
  char updated[DW_TIME_ROOM];
  char *cups; /* owned */
} work;

static dw_status work_from_row(const dw__query *query, void *element, dw_error *err) {
  work *out = element;
  *out = (work){.id = dw__query_integer(query, 0),
                .pattern = dw__query_integer(query, 1),
                .batch = dw__query_integer(query, 2)};
  dw__query_copy(query, 3, out->updated, sizeof out->updated);
  out->cups = strdup(dw__query_text(query, 4));
  return out->cups ? DW_OK : dw_fail_memory(err, "the work");
}

/* ---- one bottle of one cup ----------------------------------------------------------------------------- */

typedef struct cup_at {
  int64_t id, batch;
  const char *layer, *updated;
} cup_at;

/* A bottle that neither the book nor the starter shelf knows comes in by its name alone. */
static dw_status lot_of(dw_book *book, const char *slug, int64_t *lot, dw_error *err) {
  dw_status status = dw__lot_find(book, slug, lot, err);
  if (status != DW_NOT_FOUND) return status;
  dw_bottle bottle = dw_bottle_blank(slug, slug, DW_ROLE_COLOR);
  status = dw__bottle_ensure(book, &bottle, false, err);
  return status == DW_OK ? dw__lot_at_hand(book, slug, lot, err) : status;
}

/* slug NULL: clear base */
static dw_status append(dw_book *book, const cup_at *cup, const char *slug, double amount, const char *when,
                        dw_error *err) {
  static const char sql[] = "INSERT INTO addition (cup, position, lot, drops, clear_floz, added) VALUES"
                            " (?1, (SELECT count(*) FROM addition WHERE cup = ?1), ?2, ?3, ?4, ?5)";
  int64_t lot = 0;
  dw_error bad_time;
  dw_status status = slug ? lot_of(book, slug, &lot, err) : DW_OK;
  if (!when || dw__time_check(when, &bad_time) != DW_OK) when = cup->updated;
  if (status != DW_OK) return status;
  return dw__book_run(book, NULL, err, sql, "irddt", cup->id, lot, slug ? amount : 0.0, slug ? 0.0 : amount,
                      when);
}

static double told(const json_t *entry, const char *slug) {
  return slug ? json_number_value(json_object_get(json_object_get(entry, "add"), slug))
              : json_number_value(json_object_get(entry, "add_clear_floz"));
}

/* What the log tells beyond the first `have`, each at its time; what it does not tell, at the work's. */
static dw_status append_missing(dw_book *book, const cup_at *cup, const json_t *log, const char *slug,
                                double have, double want, dw_error *err) {
  dw_status status = DW_OK;
  double skip = have, missing = want - have;
  size_t i;
  json_t *entry;
  json_array_foreach(log, i, entry) {
    double added = told(entry, slug), known = fmin(skip, added);
    skip -= known;
    added = fmin(added - known, missing);
    if (status != DW_OK || added < AMOUNT_TINY) continue;
    status = append(book, cup, slug, added, json_string_value(json_object_get(entry, "when")), err);
    missing -= added;
  }
  if (status == DW_OK && missing > AMOUNT_TINY) status = append(book, cup, slug, missing, NULL, err);
  return status;
}

static dw_status note_more(dw_book *book, const cup_at *cup, const char *what, double bench, double rows,
                           dw_error *err) {
  static const char sql[] = "UPDATE batch SET note = note || CASE note WHEN '' THEN '' ELSE '; ' END || ?2"
                            " WHERE id = ?1 AND length(CAST(note AS BLOB)) + ?3 < ?4";
  char words[160];
  int n = snprintf(words, sizeof words, "%.47s: the bench had %.6g of %.47s, the book %.6g", cup->layer,
                   bench, what, rows);
  return dw__book_run(book, NULL, err, sql, "itii", cup->batch, words, (int64_t)n + 2,
                      (int64_t)DW_BOOK_NOTE_ROOM);
}

static dw_status bring_amount(dw_book *book, const cup_at *cup, const json_t *log, const char *slug,
                              double have, double want, dw_error *err) {
  if (want > have + AMOUNT_TINY) return append_missing(book, cup, log, slug, have, want, err);
  if (want < have - AMOUNT_TINY) return note_more(book, cup, slug ? slug : "clear base", want, have, err);
  return DW_OK;
}

/* ---- one cup ------------------------------------------------------------------------------------------- */

static double cleared(const json_t *log) {
  double all = 0;
  size_t i;
  json_t *entry;
  json_array_foreach(log, i, entry) all += told(entry, NULL);
  return all;
}

static dw_status cup_ensure(dw_book *book, const json_t *json, int64_t batch, int64_t layer, int64_t *id,
                            dw_error *err) {
  static const char sql[] = "INSERT INTO cup (batch, layer, volume_floz, capacity_floz) VALUES (?, ?, ?, ?)";
  dw_status status = dw__book_integer(book, id, "", err, "SELECT id FROM cup WHERE batch = ? AND layer = ?",
                                      "ii", batch, layer);
  if (status != DW_NOT_FOUND) return status;
  double volume =
      json_number_value(json_object_get(json, "volume_floz")) - cleared(json_object_get(json, "log"));
  double capacity = json_number_value(json_object_get(json, "capacity_floz"));
  if (!(volume >= 0.01)) volume = 0.01;
  return dw__book_run(book, id, err, sql, "iidd", batch, layer, volume, fmax(volume, capacity));
}

static double drops_of(const dw_book_addition *list, size_t n, const char *slug) {
  double all = 0;
  for (size_t i = 0; i < n; i++)
    if (strcmp(list[i].slug, slug) == 0) all += list[i].drops;
  return all;
}

static dw_status bring_cup(dw_book *book, const json_t *json, const dw_pattern_layer *layer, const work *from,
                           dw_error *err) {
  cup_at cup = {.batch = from->batch, .layer = layer->name, .updated = from->updated};
  const json_t *log = json_object_get(json, "log");
  dw_book_addition *list = NULL;
  dw_book_cup kept;
  size_t n = 0;
  const char *slug;
  json_t *drops;
  dw_status status = cup_ensure(book, json, from->batch, layer->id, &cup.id, err);
  if (status == DW_OK) status = dw_book_cup_find(book, from->batch, layer->id, &kept, err);
  if (status == DW_OK) status = dw_book_cup_additions(book, cup.id, &list, &n, err);
  if (status == DW_OK)
    status = bring_amount(book, &cup, log, NULL, kept.volume_floz,
                          json_number_value(json_object_get(json, "volume_floz")), err);
  json_object_foreach(json_object_get(json, "drops"), slug, drops) {
    if (status == DW_OK && dw_id_valid(slug))
      status = bring_amount(book, &cup, log, slug, drops_of(list, n, slug), json_number_value(drops), err);
  }
  free(list);
  return status;
}

static const json_t *cup_named(const json_t *cups, const char *layer) {
  size_t i;
  json_t *cup;
  json_array_foreach(cups, i, cup) {
    const char *name = json_string_value(json_object_get(cup, "layer"));
    if (name && strcmp(name, layer) == 0) return cup;
  }
  return NULL;
}

/* ---- one work ------------------------------------------------------------------------------------------ */

static dw_status move(dw_book *book, work *from, dw_error *err) {
  static const char sql[] =
      "INSERT INTO bench (id, name, pattern, batch, photo, marks, slab, updated)"
      " SELECT CASE WHEN EXISTS (SELECT 1 FROM bench WHERE id = ?1) THEN NULL ELSE ?1 END, name, pattern, ?2,"
      " photo, marks, slab, updated FROM work WHERE id = ?1";
  dw_pattern pattern;
  json_t *cups = NULL;
  dw_status status = dw_json_parse(from->cups, strlen(from->cups), "a work's cups", &cups, err);
  if (status == DW_NO_MEMORY) return status;
  status = json_is_array(cups)
               ? dw_pattern_get(book, from->pattern, &pattern, err)
               : dw_fail(err, DW_CORRUPT, "The cups of work %lld can't be read.", (long long)from->id);
  if (status == DW_OK && !from->batch)
    status = dw_batch_begin(book, from->pattern, NULL, from->updated, &from->batch, err);
  for (size_t i = 0; status == DW_OK && i < pattern.n; i++) {
    const json_t *cup = cup_named(cups, pattern.layer[i].name);
    if (cup) status = bring_cup(book, cup, &pattern.layer[i], from, err);
  }
  json_decref(cups);
  return status == DW_OK ? dw__book_run(book, NULL, err, sql, "ii", from->id, from->batch) : status;
}

dw_status dw__works_move(dw_book *book, size_t *moved, dw_error *err) {
  work *list = NULL;
  size_t n = 0;
  dw_status status = dw__book_list(book, sizeof(work), work_from_row, &list, &n, err,
                                   "SELECT id, pattern, batch, updated, cups FROM work ORDER BY id", "");
  for (size_t i = 0; i < n && status == DW_OK; i++) status = move(book, &list[i], err);
  for (size_t i = 0; i < n; i++) free(list[i].cups);
  free(list);
  *moved = n;
  return status;
}
