/* Batches. */
#include "book/sql.h"
#include "pourtone/book_pours.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char no_batch[] = "There is no such batch in the book.";

/* The next number that no batch of the pattern has for its name. */
static pt_status next_name(pt_book *book, int64_t pattern, char out[PT_BATCH_NAME_ROOM], pt_error *err) {
  static const char sql[] = "SELECT coalesce(max(CAST(name AS INTEGER)), 0) + 1 FROM batch WHERE pattern = ?"
                            " AND name GLOB '[1-9]*' AND length(name) < 10 AND name NOT GLOB '*[^0-9]*'";
  int64_t next = 1;
  pt_status status = pt__book_integer(book, &next, "", err, sql, "i", pattern);
  snprintf(out, PT_BATCH_NAME_ROOM, "%lld", (long long)next);
  return status;
}

pt_status pt_batch_begin(pt_book *book, int64_t pattern, const char *name, const char *poured, int64_t *id,
                         pt_error *err) {
  char now[PT_TIME_ROOM], number[PT_BATCH_NAME_ROOM];
  pt__book_now(now);
  pt_status status = PT_OK;
  if (!name || !*name) {
    status = next_name(book, pattern, number, err);
    name = number;
  }
  if (status == PT_OK) status = pt__name_check("batch", name, PT_BATCH_NAME_ROOM, err);
  if (status == PT_OK && poured) status = pt__time_check(poured, err);
  if (status != PT_OK) return status;
  status = pt__book_integer(book, id, "", err, "SELECT id FROM batch WHERE pattern = ? AND name = ?", "it",
                            pattern, name);
  if (status != PT_NOT_FOUND) return status;
  return pt__book_run(book, id, err, "INSERT INTO batch (pattern, name, poured) VALUES (?, ?, ?)", "itt",
                      pattern, name, poured ? poured : now);
}

pt_status pt_batch_set_good(pt_book *book, int64_t id, bool good, pt_error *err) {
  return pt__book_change(book, no_batch, err, "UPDATE batch SET good = ? WHERE id = ?", "ii", (int64_t)good,
                         id);
}

pt_status pt_batch_set_note(pt_book *book, int64_t id, const char *note, pt_error *err) {
  pt_status status = pt__note_check(note, err);
  if (status != PT_OK) return status;
  return pt__book_change(book, no_batch, err, "UPDATE batch SET note = ? WHERE id = ?", "ti", note, id);
}

pt_status pt_batch_set_blend(pt_book *book, int64_t id, double blend_mm, pt_error *err) {
  pt_status status = pt__number_check("A blend's width in mm", blend_mm, 0, 1000, err);
  if (status != PT_OK) return status;
  return pt__book_change(book, no_batch, err, "UPDATE batch SET blend_mm = ? WHERE id = ?", "di", blend_mm,
                         id);
}

pt_status pt_batch_remove(pt_book *book, int64_t id, pt_error *err) {
  return pt__book_change(book, no_batch, err, "DELETE FROM batch WHERE id = ?", "i", id);
}

/* ---- reading ------------------------------------------------------------------------------------------- */

#define BATCH_SELECT "SELECT id, pattern, name, poured, good, note, blend_mm FROM batch "

static pt_status batch_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_batch *out = element;
  *out = (pt_batch){.id = pt__query_integer(query, 0),
                    .pattern = pt__query_integer(query, 1),
                    .good = pt__query_integer(query, 4) != 0,
                    .blend_mm = pt__query_number(query, 6)};
  pt__query_copy(query, 2, out->name, sizeof out->name);
  pt__query_copy(query, 3, out->poured, sizeof out->poured);
  pt__query_copy(query, 5, out->note, sizeof out->note);
  return PT_OK;
}

pt_status pt_batch_get(pt_book *book, int64_t id, pt_batch *out, pt_error *err) {
  return pt__book_row(book, batch_from_row, out, no_batch, err, BATCH_SELECT "WHERE id = ?", "i", id);
}

/* The newest batches' names, "7, may-1, 9 and 12 older ones"; "" when there are none. */
static pt_status word_batches(pt_book *book, int64_t pattern, char *out, size_t room, pt_error *err) {
  enum { SHOWN = 6 };
  pt_batch *list = NULL;
  size_t n = 0, used = 0;
  pt_status status = pt_batch_list(book, pattern, &list, &n, err);
  *out = '\0';
  for (size_t i = 0; i < n && i < SHOWN && used < room; i++)
    used += (size_t)snprintf(out + used, room - used, "%s%s", i ? ", " : "", list[n - 1 - i].name);
  if (n > SHOWN && used < room) snprintf(out + used, room - used, " and %zu older ones", n - SHOWN);
  free(list);
  return status;
}

static pt_status fail_missing(pt_book *book, int64_t pattern, const char *name, pt_error *err) {
  char known[6 * (PT_BATCH_NAME_ROOM + 2) + 40];
  pt_status status = word_batches(book, pattern, known, sizeof known, err);
  if (status != PT_OK) return status;
  if (!*known) return pt_fail(err, PT_NOT_FOUND, "The pattern has no batch yet; pourtone pour begins one.");
  return pt_fail(err, PT_NOT_FOUND, "The pattern has no batch \"%.60s\"; it has %s.", name, known);
}

/* A day, or more of a time, stands for the only batch begun then. */
static pt_status find_by_time(pt_book *book, int64_t pattern, const char *time, int64_t *id, pt_error *err) {
  static const char begun[] = " FROM batch WHERE pattern = ?1 AND substr(poured, 1, length(?2)) = ?2";
  enum { DAY = sizeof "2026-05-01" - 1 };
  char count[160], newest[160];
  int64_t n = 0;
  snprintf(count, sizeof count, "SELECT count(*)%s", begun);
  snprintf(newest, sizeof newest, "SELECT max(id)%s", begun);
  pt_status status =
      strlen(time) < DAY ? PT_OK : pt__book_integer(book, &n, "", err, count, "it", pattern, time);
  if (status == PT_OK && n == 0) return fail_missing(book, pattern, time, err);
  if (status == PT_OK && n > 1)
    return pt_fail(err, PT_BAD_INPUT, "%lld batches were begun on %.20s; give the name of one of them.",
                   (long long)n, time);
  return status == PT_OK ? pt__book_integer(book, id, "", err, newest, "it", pattern, time) : status;
}

pt_status pt_batch_find(pt_book *book, int64_t pattern, const char *name, pt_batch *out, pt_error *err) {
  int64_t id = 0;
  pt_status status = pt__book_integer(
      book, &id, "", err, "SELECT id FROM batch WHERE pattern = ? AND name = ?", "it", pattern, name);
  if (status == PT_NOT_FOUND) status = find_by_time(book, pattern, name, &id, err);
  return status == PT_OK ? pt_batch_get(book, id, out, err) : status;
}

pt_status pt_batch_list(pt_book *book, int64_t pattern, pt_batch **out, size_t *n, pt_error *err) {
  return pt__book_list(book, sizeof(pt_batch), batch_from_row, out, n, err,
                       BATCH_SELECT "WHERE pattern = ? ORDER BY poured, id", "i", pattern);
}

/* ---- across a pattern's batches ------------------------------------------------------------------------ */

static pt_status heat_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_batch_heat *out = element;
  *out = (pt_batch_heat){.batch = pt__query_integer(query, 0),
                         .spread_f = pt__query_integer(query, 1) >= 2 ? pt__query_number(query, 2) : NAN,
                         .blend_mm = pt__query_number(query, 3)};
  return PT_OK;
}

pt_status pt_batch_heat_list(pt_book *book, int64_t pattern, pt_batch_heat **out, size_t *n, pt_error *err) {
  static const char sql[] =
      "SELECT b.id, count(c.temperature_f), max(c.temperature_f) - min(c.temperature_f), b.blend_mm"
      " FROM batch b LEFT JOIN cup c ON c.batch = b.id WHERE b.pattern = ? GROUP BY b.id"
      " ORDER BY b.poured, b.id";
  return pt__book_list(book, sizeof(pt_batch_heat), heat_from_row, out, n, err, sql, "i", pattern);
}

static pt_status change_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_lot_change *out = element;
  *out = (pt_lot_change){.batch = pt__query_integer(query, 0), .layer = pt__query_integer(query, 1)};
  pt__query_copy(query, 2, out->slug, sizeof out->slug);
  pt__query_copy(query, 3, out->from, sizeof out->from);
  pt__query_copy(query, 4, out->to, sizeof out->to);
  return PT_OK;
}

pt_status pt_lot_change_list(pt_book *book, int64_t pattern, pt_lot_change **out, size_t *n, pt_error *err) {
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
  return pt__book_list(book, sizeof(pt_lot_change), change_from_row, out, n, err, sql, "i", pattern);
}
