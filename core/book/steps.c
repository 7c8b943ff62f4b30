/* Rows that a step at the bench made in the tables of batches and pours, known by their numbers; a step taken
 * back takes them out again, unless somebody else has built on them. */
#include "book/steps.h"
#include "book/sql.h"

/* Those that refer to others first. */
static const char *const kinds[DW_BOOK_MADE_KINDS] = {"reading", "pour",  "addition", "cup",
                                                      "look",    "batch", "strength"};

static dw_status mark_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_book_mark *out = element;
  for (int i = 0; i < DW_BOOK_MADE_KINDS; i++) out->last[i] = dw__query_integer(query, i);
  return DW_OK;
}

dw_status dw_book_mark_get(dw_book *book, dw_book_mark *out, dw_error *err) {
  dw_text sql = {0};
  for (size_t i = 0; i < DW_BOOK_MADE_KINDS; i++)
    dw_text_add(&sql, "%s (SELECT max(id) FROM %s)", i ? "," : "SELECT", kinds[i]);
  dw_status status = sql.failed ? dw_fail_memory(err, "the book's ends")
                                : dw__book_row(book, mark_from_row, out, "", err, sql.data, "");
  dw_text_free(&sql);
  return status;
}

/* ---- kept ---------------------------------------------------------------------------------------------- */

static dw_status keep_made(dw_book *book, int64_t past, const char *kind, int64_t behind, dw_error *err) {
  char sql[112];
  snprintf(sql, sizeof sql, "INSERT INTO past_row (past, %s) SELECT ?, id FROM %s WHERE id > ?", kind, kind);
  return dw__book_run(book, NULL, err, sql, "ii", past, behind);
}

dw_status dw__step_keep(dw_book *book, int64_t past, const dw_work_change *change, dw_error *err) {
  const dw_batch *closed = change->closed;
  dw_status status = DW_OK;
  for (size_t i = 0; change->made && i < DW_BOOK_MADE_KINDS && status == DW_OK; i++)
    status = keep_made(book, past, kinds[i], change->made->last[i], err);
  if (status == DW_OK && closed)
    status =
        dw__book_run(book, NULL, err, "INSERT INTO past_row (past, batch, good, note) VALUES (?, ?, ?, ?)",
                     "iiit", past, closed->id, (int64_t)closed->good, closed->note);
  return status;
}

/* ---- taken back ---------------------------------------------------------------------------------------- */

/* In all of these ?1 is the state of the past. */
#define MADE_BY_STEP "WITH made AS (SELECT * FROM past_row WHERE past = ?1 AND good IS NULL) "

/* Rows of others that hang on those of the step, or count them. */
static const char others_sql[] = MADE_BY_STEP
    ", first AS (SELECT a.cup, min(a.position) AS position FROM made m JOIN addition a ON a.id = m.addition"
    "  GROUP BY a.cup)"
    " SELECT EXISTS (SELECT 1 FROM reading r WHERE r.id NOT IN (SELECT reading FROM made WHERE reading)"
    "  AND (r.batch IN (SELECT batch FROM made) OR r.pour IN (SELECT pour FROM made)"
    "   OR r.look IN (SELECT look FROM made)))"
    " OR EXISTS (SELECT 1 FROM cup c WHERE c.id NOT IN (SELECT cup FROM made WHERE cup)"
    "  AND c.batch IN (SELECT batch FROM made))"
    " OR EXISTS (SELECT 1 FROM pour p LEFT JOIN first f ON f.cup = p.cup"
    "  WHERE p.id NOT IN (SELECT pour FROM made WHERE pour)"
    "  AND (p.cup IN (SELECT cup FROM made) OR p.additions > f.position))"
    " OR EXISTS (SELECT 1 FROM addition a LEFT JOIN first f ON f.cup = a.cup"
    "  WHERE a.id NOT IN (SELECT addition FROM made WHERE addition)"
    "  AND (a.cup IN (SELECT cup FROM made) OR a.position > f.position))";

/* Whether a strength was learned with the step's readings among the pours, but not by the step: a later row,
 * or where the step itself taught nothing, a later second. */
static const char learned_sql[] =
    MADE_BY_STEP "SELECT EXISTS (SELECT 1 FROM strength WHERE id > (SELECT max(strength) FROM made)"
                 " OR learned > (SELECT min(taken) FROM reading WHERE id IN (SELECT reading FROM made))"
                 "  AND id NOT IN (SELECT strength FROM made WHERE strength))";

static dw_status look_at(dw_book *book, int64_t past, dw_work_undone *out, dw_error *err) {
  int64_t others = 0, readings = 0, gone = 0, learned = 0, closed = 0;
  dw_status status = dw__book_integer(book, &others, "", err, others_sql, "i", past);
  if (status == DW_OK && others)
    status = dw_fail(err, DW_REFUSED,
                     "This step can't be taken back: its batch has got more since, from elsewhere.");
  if (status == DW_OK)
    status = dw__book_integer(book, &readings, "", err, "SELECT count(reading) FROM past_row WHERE past = ?",
                              "i", past);
  if (status == DW_OK)
    status = dw__book_integer(book, &gone, "", err, MADE_BY_STEP "SELECT count(batch) FROM made", "i", past);
  if (status == DW_OK)
    status =
        dw__book_integer(book, &closed, "", err,
                         "SELECT count(batch) FROM past_row WHERE past = ? AND good IS NOT NULL", "i", past);
  if (status == DW_OK) status = dw__book_integer(book, &learned, "", err, learned_sql, "i", past);
  *out = (dw_work_undone){(size_t)readings, gone > 0, closed > 0, learned != 0};
  return status;
}

/* The batch lies on the bench again, judged as it was. */
static dw_status open_again(dw_book *book, int64_t past, dw_error *err) {
  static const char judged[] = "UPDATE batch SET good = r.good, note = r.note FROM past_row r"
                               " WHERE r.past = ? AND r.batch = batch.id AND r.good IS NOT NULL";
  static const char lies[] = "UPDATE work SET batch = r.batch FROM past_row r, work_past p WHERE r.past = ?"
                             " AND p.id = r.past AND work.id = p.work AND r.good IS NOT NULL";
  dw_status status = dw__book_run(book, NULL, err, judged, "i", past);
  return status == DW_OK ? dw__book_run(book, NULL, err, lies, "i", past) : status;
}

static dw_status take_out(dw_book *book, int64_t past, const char *kind, dw_error *err) {
  char sql[160];
  snprintf(sql, sizeof sql,
           "DELETE FROM %s WHERE id IN (SELECT %s FROM past_row WHERE past = ? AND good IS NULL)", kind,
           kind);
  return dw__book_run(book, NULL, err, sql, "i", past);
}

dw_status dw__step_undo(dw_book *book, int64_t past, dw_work_undone *out, dw_error *err) {
  dw_status status = look_at(book, past, out, err);
  if (status == DW_OK && out->opened) status = open_again(book, past, err);
  for (size_t i = 0; i < DW_BOOK_MADE_KINDS && status == DW_OK; i++)
    status = take_out(book, past, kinds[i], err);
  return status;
}
