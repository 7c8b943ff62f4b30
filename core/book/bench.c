/* What lies on the bench. */
#include "book/sql.h"
#include "dropwise/book_bench.h"
#include "dropwise/book_settings.h"

#include <stdlib.h>
#include <string.h>

static const char no_bench[] = "There is no such bench in the book.";

void dw_book_bench_free(dw_book_bench *bench) {
  free(bench->marks);
  free(bench->slab);
  *bench = (dw_book_bench){0};
}

/* ---- begun --------------------------------------------------------------------------------------------- */

static dw_status open_batch(dw_book *book, const dw_pattern *pattern, double volume_floz,
                            double capacity_floz, int64_t *batch, dw_error *err) {
  int64_t cup;
  dw_status status = dw_batch_begin(book, pattern->id, NULL, NULL, batch, err);
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++)
    status = dw_book_cup_begin(book, *batch, pattern->layer[i].id, volume_floz, capacity_floz, &cup, err);
  return status;
}

dw_status dw_book_bench_begin(dw_book *book, int64_t pattern_id, const char *name, double volume_floz,
                              double capacity_floz, const char *slab, int64_t *id, dw_error *err) {
  static const char sql[] = "INSERT INTO bench (name, pattern, batch, slab, updated) VALUES (?, ?, ?, ?, ?)";
  char now[DW_TIME_ROOM];
  dw_pattern pattern;
  int64_t batch;
  dw__book_now(now);
  dw_status status = dw__name_check("bench", name, DW_PATTERN_NAME_ROOM, err);
  if (status == DW_OK) status = dw__json_check("The slab", slab, '{', err);
  if (status == DW_OK) status = dw_pattern_get(book, pattern_id, &pattern, err);
  if (status == DW_OK) status = open_batch(book, &pattern, volume_floz, capacity_floz, &batch, err);
  if (status != DW_OK) return status;
  dw_book_entry_say(book, DW_ENTRY_BENCH, pattern_id, batch, "%s laid on the bench", name);
  return dw__book_run(book, id, err, sql, "tiitt", name, pattern_id, batch, slab ? slab : "{}", now);
}

/* ---- read ---------------------------------------------------------------------------------------------- */

#define BENCH_SELECT                                                                                         \
  "SELECT b.id, b.pattern, b.batch, f.sha256, b.name, p.name, b.updated, b.marks, b.slab FROM bench b"       \
  " JOIN pattern p ON p.id = b.pattern LEFT JOIN photo f ON f.id = b.photo "

static dw_status title_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_book_bench *out = element;
  *out = (dw_book_bench){.id = dw__query_integer(query, 0),
                         .pattern = dw__query_integer(query, 1),
                         .batch = dw__query_integer(query, 2)};
  dw__query_copy(query, 3, out->photo, sizeof out->photo);
  dw__query_copy(query, 4, out->name, sizeof out->name);
  dw__query_copy(query, 5, out->pattern_name, sizeof out->pattern_name);
  dw__query_copy(query, 6, out->updated, sizeof out->updated);
  return DW_OK;
}

static dw_status bench_from_row(const dw__query *query, void *element, dw_error *err) {
  dw_book_bench *out = element;
  title_from_row(query, out, err);
  out->marks = strdup(dw__query_text(query, 7));
  out->slab = strdup(dw__query_text(query, 8));
  if (out->marks && out->slab) return DW_OK;
  dw_book_bench_free(out);
  return dw_fail_memory(err, "the bench");
}

dw_status dw_book_bench_get(dw_book *book, int64_t id, dw_book_bench *out, dw_error *err) {
  return dw__book_row(book, bench_from_row, out, no_bench, err, BENCH_SELECT "WHERE b.id = ?", "i", id);
}

dw_status dw_book_bench_list(dw_book *book, dw_book_bench **out, size_t *n, dw_error *err) {
  return dw__book_list(book, sizeof(dw_book_bench), title_from_row, out, n, err,
                       BENCH_SELECT "ORDER BY b.updated DESC, b.id DESC", "");
}

/* ---- changed ------------------------------------------------------------------------------------------- */

static dw_status change_check(dw_book *book, const dw_book_bench_change *change, int64_t *photo,
                              dw_error *err) {
  dw_status status = DW_OK;
  *photo = 0;
  if (change->name) status = dw__name_check("bench", change->name, DW_PATTERN_NAME_ROOM, err);
  if (status == DW_OK) status = dw__json_check("The marks", change->marks, '{', err);
  if (status == DW_OK) status = dw__json_check("The slab", change->slab, '{', err);
  if (status != DW_OK || !change->photo || !*change->photo) return status;
  dw_error missing = {0};
  status = dw_photo_find(book, change->photo, photo, &missing);
  if (status == DW_NOT_FOUND) status = DW_BAD_INPUT;
  return status == DW_OK ? DW_OK : dw_fail(err, status, "%s", missing.text);
}

/* What the change is about, for its entry. */
static const char *change_words(const dw_book_bench_change *change) {
  if (change->marks) return "marks moved";
  if (change->photo) return *change->photo ? "another photo" : "photo put away";
  return change->slab ? "looked at in another slab" : "renamed";
}

dw_status dw_book_bench_set(dw_book *book, int64_t id, const dw_book_bench_change *change, dw_error *err) {
  static const char sql[] =
      "UPDATE bench SET name = coalesce(?1, name), photo = CASE WHEN ?2 THEN ?3 ELSE photo END,"
      " marks = coalesce(?4, marks), slab = coalesce(?5, slab), updated = ?6 WHERE id = ?7"
      /* changing nothing changes nothing */
      " AND (coalesce(?1 <> name, 0) OR (?2 AND photo IS NOT ?3) OR coalesce(?4 <> marks, 0)"
      " OR coalesce(?5 <> slab, 0))";
  char now[DW_TIME_ROOM];
  int64_t photo;
  dw_book_bench bench = {0};
  dw__book_now(now);
  dw_status status = dw_book_bench_get(book, id, &bench, err);
  if (status == DW_OK) status = change_check(book, change, &photo, err);
  if (status == DW_OK)
    dw__tell(book, DW_ENTRY_BENCH, bench.pattern, bench.batch, "", "bench %s: %s", bench.name,
             change_words(change));
  dw_book_bench_free(&bench);
  if (status != DW_OK) return status;
  return dw__book_run(book, NULL, err, sql, "tirttti", change->name, (int64_t)(change->photo != NULL), photo,
                      change->marks, change->slab, now, id);
}

/* Cups of the next batch: as full as these were begun. */
static const char next_cups[] = "INSERT INTO cup (batch, layer, volume_floz, capacity_floz)"
                                " SELECT ?2, layer, volume_floz, max(volume_floz, capacity_floz) FROM cup"
                                " WHERE batch = ?1 ORDER BY id";

dw_status dw_book_bench_next(dw_book *book, int64_t id, dw_error *err) {
  static const char lay[] = "UPDATE bench SET batch = ?, updated = ? WHERE id = ?";
  char now[DW_TIME_ROOM];
  dw_book_bench bench = {0};
  dw_pattern pattern;
  double volume_floz, capacity_floz;
  int64_t batch = 0;
  dw__book_now(now);
  dw_status status = dw_book_bench_get(book, id, &bench, err);
  if (status == DW_OK) status = dw_pattern_get(book, bench.pattern, &pattern, err);
  if (status == DW_OK && bench.batch) {
    status = dw_batch_begin(book, bench.pattern, NULL, NULL, &batch, err);
    if (status == DW_OK) status = dw__book_run(book, NULL, err, next_cups, "ii", bench.batch, batch);
  } else if (status == DW_OK) {
    status = dw_book_fresh_cup(book, &volume_floz, &capacity_floz, err);
    if (status == DW_OK) status = open_batch(book, &pattern, volume_floz, capacity_floz, &batch, err);
  }
  dw_book_bench_free(&bench);
  return status == DW_OK ? dw__book_run(book, NULL, err, lay, "iti", batch, now, id) : status;
}

dw_status dw_book_bench_remove(dw_book *book, int64_t id, dw_error *err) {
  bool empty = false;
  dw_book_bench bench = {0};
  dw_status status = dw_book_bench_get(book, id, &bench, err);
  if (status == DW_OK)
    dw__tell(book, DW_ENTRY_BENCH, bench.pattern, bench.batch, "", "%s taken off the bench", bench.name);
  if (status == DW_OK) status = dw__book_run(book, NULL, err, "DELETE FROM bench WHERE id = ?", "i", id);
  if (status == DW_OK) status = dw_batch_empty(book, bench.batch, &empty, err);
  if (status == DW_OK && empty)
    status = dw__book_run(book, NULL, err, "DELETE FROM batch WHERE id = ?", "r", bench.batch);
  dw_book_bench_free(&bench);
  return status;
}
