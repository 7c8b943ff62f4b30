/* Rows that a step at the bench made in the tables of batches and pours, known by their numbers; a step taken
 * back takes them out again, unless somebody else has built on them. */
#include "book/steps.h"
#include "book/sql.h"

/* Those that refer to others first. */
static const char *const kinds[PT_BOOK_MADE_KINDS] = {"reading", "pour",  "addition", "cup",
                                                      "look",    "batch", "strength"};

static pt_status mark_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_book_mark *out = element;
  for (int i = 0; i < PT_BOOK_MADE_KINDS; i++) out->last[i] = pt__query_integer(query, i);
  return PT_OK;
}

pt_status pt_book_mark_get(pt_book *book, pt_book_mark *out, pt_error *err) {
  pt_text sql = {0};
  for (size_t i = 0; i < PT_BOOK_MADE_KINDS; i++)
    pt_text_add(&sql, "%s (SELECT max(id) FROM %s)", i ? "," : "SELECT", kinds[i]);
  pt_status status = sql.failed ? pt_fail_memory(err, "the book's ends")
                                : pt__book_row(book, mark_from_row, out, "", err, sql.data, "");
  pt_text_free(&sql);
  return status;
}

/* ---- kept ---------------------------------------------------------------------------------------------- */

static pt_status keep_made(pt_book *book, int64_t past, const char *kind, int64_t behind, pt_error *err) {
  char sql[112];
  snprintf(sql, sizeof sql, "INSERT INTO past_row (past, %s) SELECT ?, id FROM %s WHERE id > ?", kind, kind);
  return pt__book_run(book, NULL, err, sql, "ii", past, behind);
}

pt_status pt__step_keep(pt_book *book, int64_t past, const pt_work_change *change, pt_error *err) {
  const pt_batch *closed = change->closed;
  pt_status status = PT_OK;
  for (size_t i = 0; change->made && i < PT_BOOK_MADE_KINDS && status == PT_OK; i++)
    status = keep_made(book, past, kinds[i], change->made->last[i], err);
  if (status == PT_OK && closed)
    status =
        pt__book_run(book, NULL, err, "INSERT INTO past_row (past, batch, good, note) VALUES (?, ?, ?, ?)",
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

static pt_status look_at(pt_book *book, int64_t past, pt_work_undone *out, pt_error *err) {
  int64_t others = 0, readings = 0, gone = 0, learned = 0, closed = 0;
  pt_status status = pt__book_integer(book, &others, "", err, others_sql, "i", past);
  if (status == PT_OK && others)
    status = pt_fail(err, PT_REFUSED,
                     "This step can't be taken back: its batch has got more since, from elsewhere.");
  if (status == PT_OK)
    status = pt__book_integer(book, &readings, "", err, "SELECT count(reading) FROM past_row WHERE past = ?",
                              "i", past);
  if (status == PT_OK)
    status = pt__book_integer(book, &gone, "", err, MADE_BY_STEP "SELECT count(batch) FROM made", "i", past);
  if (status == PT_OK)
    status =
        pt__book_integer(book, &closed, "", err,
                         "SELECT count(batch) FROM past_row WHERE past = ? AND good IS NOT NULL", "i", past);
  if (status == PT_OK) status = pt__book_integer(book, &learned, "", err, learned_sql, "i", past);
  *out = (pt_work_undone){(size_t)readings, gone > 0, closed > 0, learned != 0};
  return status;
}

/* The batch lies on the bench again, judged as it was. */
static pt_status open_again(pt_book *book, int64_t past, pt_error *err) {
  static const char judged[] = "UPDATE batch SET good = r.good, note = r.note FROM past_row r"
                               " WHERE r.past = ? AND r.batch = batch.id AND r.good IS NOT NULL";
  static const char lies[] = "UPDATE work SET batch = r.batch FROM past_row r, work_past p WHERE r.past = ?"
                             " AND p.id = r.past AND work.id = p.work AND r.good IS NOT NULL";
  pt_status status = pt__book_run(book, NULL, err, judged, "i", past);
  return status == PT_OK ? pt__book_run(book, NULL, err, lies, "i", past) : status;
}

static pt_status take_out(pt_book *book, int64_t past, const char *kind, pt_error *err) {
  char sql[160];
  snprintf(sql, sizeof sql,
           "DELETE FROM %s WHERE id IN (SELECT %s FROM past_row WHERE past = ? AND good IS NULL)", kind,
           kind);
  return pt__book_run(book, NULL, err, sql, "i", past);
}

pt_status pt__step_undo(pt_book *book, int64_t past, pt_work_undone *out, pt_error *err) {
  pt_status status = look_at(book, past, out, err);
  if (status == PT_OK && out->opened) status = open_again(book, past, err);
  for (size_t i = 0; i < PT_BOOK_MADE_KINDS && status == PT_OK; i++)
    status = take_out(book, past, kinds[i], err);
  return status;
}
