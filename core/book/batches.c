/* Batches. */
#include "book/sql.h"
#include "dropwise/book_pours.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char no_batch[] = "There is no such batch in the book.";

/* The next number that no batch of the pattern has for its name. */
static dw_status next_name(dw_book *book, int64_t pattern, char out[DW_BATCH_NAME_ROOM], dw_error *err) {
  static const char sql[] = "SELECT coalesce(max(CAST(name AS INTEGER)), 0) + 1 FROM batch WHERE pattern = ?"
                            " AND name GLOB '[1-9]*' AND length(name) < 10 AND name NOT GLOB '*[^0-9]*'";
  int64_t next = 1;
  dw_status status = dw__book_integer(book, &next, "", err, sql, "i", pattern);
  snprintf(out, DW_BATCH_NAME_ROOM, "%lld", (long long)next);
  return status;
}

/* "batch 2 of frog begun" */
static dw_status tell_batch(dw_book *book, int64_t id, const char *what, dw_error *err) {
  dw__where where;
  dw_status status = dw__where_batch(book, id, &where, err);
  if (status == DW_OK)
    dw__tell(book, DW_ENTRY_BATCH, where.pattern, id, "", "batch %s of %s %s", where.batch_name,
             where.pattern_name, what);
  return status;
}

dw_status dw_batch_begin(dw_book *book, int64_t pattern, const char *name, const char *poured, int64_t *id,
                         dw_error *err) {
  char now[DW_TIME_ROOM], number[DW_BATCH_NAME_ROOM];
  dw__book_now(now);
  dw_status status = DW_OK;
  if (!name || !*name) {
    status = next_name(book, pattern, number, err);
    name = number;
  }
  if (status == DW_OK) status = dw__name_check("batch", name, DW_BATCH_NAME_ROOM, err);
  if (status == DW_OK && poured) status = dw__time_check(poured, err);
  if (status != DW_OK) return status;
  status = dw__book_integer(book, id, "", err, "SELECT id FROM batch WHERE pattern = ? AND name = ?", "it",
                            pattern, name);
  if (status == DW_NOT_FOUND)
    status = dw__next_id(book, "batch", id, err);
  else
    return status;
  if (status == DW_OK)
    status =
        dw__book_run(book, NULL, err, "INSERT INTO batch (id, pattern, name, poured) VALUES (?, ?, ?, ?)",
                     "iitt", *id, pattern, name, poured ? poured : now);
  return status == DW_OK ? tell_batch(book, *id, "begun", err) : status;
}

dw_status dw_batch_set_good(dw_book *book, int64_t id, bool good, dw_error *err) {
  dw__where where;
  dw_status status = dw__where_batch(book, id, &where, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_GOOD, where.pattern, id, "", "batch %s of %s marked %s", where.batch_name,
           where.pattern_name, good ? "good" : "not good");
  return dw__book_change(book, no_batch, err, "UPDATE batch SET good = ? WHERE id = ?", "ii", (int64_t)good,
                         id);
}

dw_status dw_batch_set_note(dw_book *book, int64_t id, const char *note, dw_error *err) {
  dw_status status = dw__note_check(note, err);
  if (status == DW_OK) status = tell_batch(book, id, "given a note", err);
  if (status != DW_OK) return status;
  return dw__book_change(book, no_batch, err, "UPDATE batch SET note = ? WHERE id = ?", "ti", note, id);
}

dw_status dw_batch_set_blend(dw_book *book, int64_t id, double blend_mm, dw_error *err) {
  int64_t swirl = 0;
  dw_status status = dw__number_check("A blend's width in mm", blend_mm, 0, 1000, err);
  if (status == DW_OK)
    status = dw__book_integer(
        book, &swirl, no_batch, err,
        "SELECT p.swirl IS NOT NULL FROM batch b JOIN pattern p ON p.id = b.pattern WHERE b.id = ?", "i", id);
  if (status == DW_OK && swirl)
    status = dw_fail(err, DW_BAD_INPUT, "A swirl has no borders between layers whose width could be noted.");
  if (status == DW_OK) status = tell_batch(book, id, "given its blend's width", err);
  if (status != DW_OK) return status;
  return dw__book_change(book, no_batch, err, "UPDATE batch SET blend_mm = ? WHERE id = ?", "di", blend_mm,
                         id);
}

dw_status dw_batch_rename(dw_book *book, int64_t id, const char *name, dw_error *err) {
  static const char same[] = "SELECT EXISTS (SELECT 1 FROM batch b WHERE b.name = ?2 AND b.id <> ?1"
                             " AND b.pattern = (SELECT pattern FROM batch WHERE id = ?1))";
  dw__where was;
  int64_t taken = 0;
  dw_status status = dw__name_check("batch", name, DW_BATCH_NAME_ROOM, err);
  if (status == DW_OK) status = dw__where_batch(book, id, &was, err);
  if (status == DW_OK) status = dw__book_integer(book, &taken, "", err, same, "it", id, name);
  if (status == DW_OK && taken) status = dw_fail(err, DW_BAD_INPUT, "There is a batch \"%s\" already.", name);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_CORRECTION, was.pattern, id, "", "name of a batch of %s: was %s, is %s",
           was.pattern_name, was.batch_name, name);
  return dw__book_change(book, no_batch, err, "UPDATE batch SET name = ? WHERE id = ?", "ti", name, id);
}

dw_status dw_batch_remove(dw_book *book, int64_t id, dw_error *err) {
  dw_status status = tell_batch(book, id, "removed", err);
  if (status != DW_OK) return status;
  return dw__book_change(book, no_batch, err, "DELETE FROM batch WHERE id = ?", "i", id);
}

/* ---- reading ------------------------------------------------------------------------------------------- */

#define BATCH_SELECT "SELECT id, pattern, name, poured, good, note, blend_mm FROM batch "

static dw_status batch_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_batch *out = element;
  *out = (dw_batch){.id = dw__query_integer(query, 0),
                    .pattern = dw__query_integer(query, 1),
                    .good = dw__query_integer(query, 4) != 0,
                    .blend_mm = dw__query_number(query, 6)};
  dw__query_copy(query, 2, out->name, sizeof out->name);
  dw__query_copy(query, 3, out->poured, sizeof out->poured);
  dw__query_copy(query, 5, out->note, sizeof out->note);
  return DW_OK;
}

dw_status dw_batch_get(dw_book *book, int64_t id, dw_batch *out, dw_error *err) {
  return dw__book_row(book, batch_from_row, out, no_batch, err, BATCH_SELECT "WHERE id = ?", "i", id);
}

/* The newest batches' names, "7, may-1, 9 and 12 older ones"; "" when there are none. */
static dw_status word_batches(dw_book *book, int64_t pattern, char *out, size_t room, dw_error *err) {
  enum { SHOWN = 6 };
  dw_batch *list = NULL;
  size_t n = 0, used = 0;
  dw_status status = dw_batch_list(book, pattern, &list, &n, err);
  *out = '\0';
  for (size_t i = 0; i < n && i < SHOWN && used < room; i++)
    used += (size_t)snprintf(out + used, room - used, "%s%s", i ? ", " : "", list[n - 1 - i].name);
  if (n > SHOWN && used < room) snprintf(out + used, room - used, " and %zu older ones", n - SHOWN);
  free(list);
  return status;
}

static dw_status fail_missing(dw_book *book, int64_t pattern, const char *name, dw_error *err) {
  char known[6 * (DW_BATCH_NAME_ROOM + 2) + 40];
  dw_status status = word_batches(book, pattern, known, sizeof known, err);
  if (status != DW_OK) return status;
  if (!*known) return dw_fail(err, DW_NOT_FOUND, "The pattern has no batch yet; dropwise pour begins one.");
  return dw_fail(err, DW_NOT_FOUND, "The pattern has no batch \"%.60s\"; it has %s.", name, known);
}

/* A day, or more of a time, stands for the only batch begun then. */
static dw_status find_by_time(dw_book *book, int64_t pattern, const char *time, int64_t *id, dw_error *err) {
  static const char begun[] = " FROM batch WHERE pattern = ?1 AND substr(poured, 1, length(?2)) = ?2";
  enum { DAY = sizeof "2026-05-01" - 1 };
  char count[160], newest[160];
  int64_t n = 0;
  snprintf(count, sizeof count, "SELECT count(*)%s", begun);
  snprintf(newest, sizeof newest, "SELECT max(id)%s", begun);
  dw_status status =
      strlen(time) < DAY ? DW_OK : dw__book_integer(book, &n, "", err, count, "it", pattern, time);
  if (status == DW_OK && n == 0) return fail_missing(book, pattern, time, err);
  if (status == DW_OK && n > 1)
    return dw_fail(err, DW_BAD_INPUT, "%lld batches were begun on %.20s; give the name of one of them.",
                   (long long)n, time);
  return status == DW_OK ? dw__book_integer(book, id, "", err, newest, "it", pattern, time) : status;
}

dw_status dw_batch_find(dw_book *book, int64_t pattern, const char *name, dw_batch *out, dw_error *err) {
  int64_t id = 0;
  dw_status status = dw__book_integer(
      book, &id, "", err, "SELECT id FROM batch WHERE pattern = ? AND name = ?", "it", pattern, name);
  if (status == DW_NOT_FOUND) status = find_by_time(book, pattern, name, &id, err);
  return status == DW_OK ? dw_batch_get(book, id, out, err) : status;
}

dw_status dw_batch_empty(dw_book *book, int64_t id, bool *out, dw_error *err) {
  static const char sql[] =
      "SELECT (SELECT count(*) FROM reading WHERE batch = ?1)"
      " + (SELECT count(*) FROM addition a JOIN cup c ON c.id = a.cup WHERE c.batch = ?1)"
      " + (SELECT count(*) FROM pour p JOIN cup c ON c.id = p.cup WHERE c.batch = ?1)";
  int64_t n = 1;
  dw_status status = dw__book_integer(book, &n, no_batch, err, sql, "i", id);
  *out = n == 0;
  return status;
}

dw_status dw_batch_list(dw_book *book, int64_t pattern, dw_batch **out, size_t *n, dw_error *err) {
  return dw__book_list(book, sizeof(dw_batch), batch_from_row, out, n, err,
                       BATCH_SELECT "WHERE pattern = ? ORDER BY poured, id", "i", pattern);
}

/* ---- across a pattern's batches ------------------------------------------------------------------------ */

static dw_status change_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_lot_change *out = element;
  *out = (dw_lot_change){.batch = dw__query_integer(query, 0), .layer = dw__query_integer(query, 1)};
  dw__query_copy(query, 2, out->slug, sizeof out->slug);
  dw__query_copy(query, 3, out->from, sizeof out->from);
  dw__query_copy(query, 4, out->to, sizeof out->to);
  return DW_OK;
}

dw_status dw_lot_change_list(dw_book *book, int64_t pattern, dw_lot_change **out, size_t *n, dw_error *err) {
  static const char sql[] =
      /* the newest lot of each bottle in each cup, beside that of the cup of the same layer before */
      "WITH used AS (SELECT b.id AS batch, b.poured, c.layer, l.bottle, max(l.id) AS lot FROM batch b"
      " JOIN cup c ON c.batch = b.id JOIN addition a ON a.cup = c.id JOIN lot l ON l.id = a.lot"
      " WHERE b.pattern = ? GROUP BY b.id, c.layer, l.bottle),"
      " pairs AS (SELECT *, lag(lot) OVER (PARTITION BY layer, bottle ORDER BY poured, batch) AS before"
      " FROM used)"
      " SELECT p.batch, p.layer, k.slug, f.name, t.name FROM pairs p JOIN bottle k ON k.id = p.bottle"
      " JOIN lot f ON f.id = p.before JOIN lot t ON t.id = p.lot WHERE p.before <> p.lot"
      " ORDER BY p.poured, p.batch, p.layer, k.slug";
  return dw__book_list(book, sizeof(dw_lot_change), change_from_row, out, n, err, sql, "i", pattern);
}
