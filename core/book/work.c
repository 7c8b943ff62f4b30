/* Work on the bench, with a revision that grows and a past to go back to. */
#include "book/sql.h"
#include "book/steps.h"

#include <stdlib.h>
#include <string.h>

static const char no_work[] = "There is no such work in the book.";

void dw_work_free(dw_work *work) {
  free(work->marks);
  free(work->cups);
  free(work->slab);
  *work = (dw_work){0};
}

dw_status dw_work_add(dw_book *book, int64_t pattern, const char *name, const char *cups, const char *slab,
                      int64_t *id, dw_error *err) {
  static const char sql[] = "INSERT INTO work (name, pattern, cups, slab, updated) VALUES (?, ?, ?, ?, ?)";
  char now[DW_TIME_ROOM];
  int64_t there;
  dw__book_now(now);
  dw_status status = dw__name_check("piece of work", name, DW_PATTERN_NAME_ROOM, err);
  if (status == DW_OK) status = dw__json_check("The cups", cups, '[', err);
  if (status == DW_OK) status = dw__json_check("The slab", slab, '{', err);
  if (status == DW_OK)
    status = dw__book_integer(book, &there, "There is no such pattern in the book.", err,
                              "SELECT id FROM pattern WHERE id = ?", "i", pattern);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_BENCH, pattern, 0, "", "%s laid on the bench", name);
  return dw__book_run(book, id, err, sql, "tittt", name, pattern, cups ? cups : "[]", slab ? slab : "{}",
                      now);
}

dw_status dw_work_get(dw_book *book, int64_t id, dw_work *out, dw_error *err) {
  static const char sql[] = "SELECT w.revision, w.pattern, w.batch, p.sha256, w.name, w.updated,"
                            " EXISTS (SELECT 1 FROM work_past WHERE work = w.id), w.marks, w.cups, w.slab"
                            " FROM work w LEFT JOIN photo p ON p.id = w.photo WHERE w.id = ?";
  dw__query query;
  bool row = false;
  dw_work found = {.id = id};
  dw_status status = dw__query_open(book, sql, &query, err, "i", id);
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK && !row) status = dw_fail(err, DW_NOT_FOUND, "%s", no_work);
  if (status == DW_OK) {
    found.revision = dw__query_integer(&query, 0);
    found.pattern = dw__query_integer(&query, 1);
    found.batch = dw__query_integer(&query, 2);
    dw__query_copy(&query, 3, found.photo, sizeof found.photo);
    dw__query_copy(&query, 4, found.name, sizeof found.name);
    dw__query_copy(&query, 5, found.updated, sizeof found.updated);
    found.can_undo = dw__query_integer(&query, 6) != 0;
    found.marks = strdup(dw__query_text(&query, 7));
    found.cups = strdup(dw__query_text(&query, 8));
    found.slab = strdup(dw__query_text(&query, 9));
    if (!found.marks || !found.cups || !found.slab) status = dw_fail_memory(err, "the work");
  }
  dw__query_close(&query);
  if (status == DW_OK)
    *out = found;
  else
    dw_work_free(&found);
  return status;
}

dw_status dw_work_revision(dw_book *book, int64_t id, int64_t *revision, dw_error *err) {
  return dw__book_integer(book, revision, no_work, err, "SELECT revision FROM work WHERE id = ?", "i", id);
}

static dw_status title_from_row(const dw__query *query, void *element, dw_error *err) {
  (void)err;
  dw_work_title *out = element;
  *out = (dw_work_title){.id = dw__query_integer(query, 0), .revision = dw__query_integer(query, 1)};
  dw__query_copy(query, 2, out->name, sizeof out->name);
  dw__query_copy(query, 3, out->pattern, sizeof out->pattern);
  dw__query_copy(query, 4, out->updated, sizeof out->updated);
  return DW_OK;
}

dw_status dw_work_list(dw_book *book, dw_work_title **out, size_t *n, dw_error *err) {
  static const char sql[] = "SELECT w.id, w.revision, w.name, p.name, w.updated FROM work w"
                            " JOIN pattern p ON p.id = w.pattern ORDER BY w.updated DESC, w.id DESC";
  return dw__book_list(book, sizeof(dw_work_title), title_from_row, out, n, err, sql, "");
}

/* ---- changes ------------------------------------------------------------------------------------------- */

static dw_status change_check(dw_book *book, const dw_work_change *change, int64_t *photo, dw_error *err) {
  dw_status status = DW_OK;
  *photo = 0;
  if (change->name) status = dw__name_check("piece of work", change->name, DW_PATTERN_NAME_ROOM, err);
  if (status == DW_OK) status = dw__json_check("The marks", change->marks, '{', err);
  if (status == DW_OK) status = dw__json_check("The cups", change->cups, '[', err);
  if (status == DW_OK) status = dw__json_check("The slab", change->slab, '{', err);
  if (status == DW_OK && change->photo && *change->photo) {
    status = dw_photo_find(book, change->photo, photo, err);
    if (status == DW_NOT_FOUND && err) err->code = DW_BAD_INPUT;
    if (status == DW_NOT_FOUND) status = DW_BAD_INPUT;
  }
  return status;
}

/* The state as it is goes to the past, whose oldest states make room. */
static dw_status keep_past(dw_book *book, int64_t id, int64_t *past, dw_error *err) {
  dw_status status = dw__book_run(book, past, err,
                                  "INSERT INTO work_past (work, name, photo, marks, cups, slab)"
                                  " SELECT id, name, photo, marks, cups, slab FROM work WHERE id = ?",
                                  "i", id);
  if (status != DW_OK) return status;
  return dw__book_run(book, NULL, err,
                      "DELETE FROM work_past WHERE work = ?1 AND id <= (SELECT id FROM work_past"
                      " WHERE work = ?1 ORDER BY id DESC LIMIT 1 OFFSET ?2)",
                      "ii", id, (int64_t)DW_WORK_STEPS_MAX);
}

dw_status dw_work_save(dw_book *book, int64_t id, int64_t revision, const dw_work_change *change,
                       dw_error *err) {
  static const char sql[] =
      "UPDATE work SET name = coalesce(?, name), photo = CASE WHEN ? THEN ? ELSE photo END,"
      " marks = coalesce(?, marks), cups = coalesce(?, cups), slab = coalesce(?, slab),"
      " batch = CASE WHEN ? THEN ? ELSE batch END, revision = revision + 1, updated = ? WHERE id = ?";
  char now[DW_TIME_ROOM];
  int64_t current, photo, past;
  dw__book_now(now);
  dw_status status = dw_work_revision(book, id, &current, err);
  if (status == DW_OK && current != revision)
    status = dw_fail(err, DW_REFUSED, "Somebody else changed this work meanwhile; here it is as it is now.");
  if (status == DW_OK) status = change_check(book, change, &photo, err);
  bool visible = change->name || change->photo || change->marks || change->cups || change->slab;
  if (status == DW_OK && visible) status = keep_past(book, id, &past, err);
  if (status == DW_OK && visible) status = dw__step_keep(book, past, change, err);
  if (status != DW_OK) return status;
  dw__tell(book, DW_ENTRY_BENCH, 0, 0, "", "the bench");
  return dw__book_run(book, NULL, err, sql, "tirtttirti", change->name, (int64_t)(change->photo != NULL),
                      photo, change->marks, change->cups, change->slab, (int64_t)(change->batch != NULL),
                      change->batch ? *change->batch : (int64_t)0, now, id);
}

dw_status dw_work_undo(dw_book *book, int64_t id, dw_work_undone *out, dw_error *err) {
  static const char sql[] = "UPDATE work SET (name, photo, marks, cups, slab) ="
                            " (SELECT name, photo, marks, cups, slab FROM work_past WHERE id = ?),"
                            " revision = revision + 1, updated = ? WHERE id = ?";
  char now[DW_TIME_ROOM];
  int64_t revision, past;
  dw__book_now(now);
  dw_status status = dw_work_revision(book, id, &revision, err);
  if (status != DW_OK) return status;
  status = dw__book_integer(book, &past, "There is nothing to take back.", err,
                            "SELECT id FROM work_past WHERE work = ? ORDER BY id DESC LIMIT 1", "i", id);
  if (status == DW_NOT_FOUND) return dw_fail(err, DW_REFUSED, "There is nothing to take back.");
  if (status == DW_OK) status = dw__step_undo(book, past, out, err);
  if (status == DW_OK) status = dw__book_run(book, NULL, err, sql, "iti", past, now, id);
  if (status == DW_OK)
    status = dw__book_run(book, NULL, err, "DELETE FROM work_past WHERE id = ?", "i", past);
  return status;
}

dw_status dw_work_remove(dw_book *book, int64_t id, dw_error *err) {
  dw__tell(book, DW_ENTRY_BENCH, 0, 0, "", "a piece of work taken off the bench");
  return dw__book_change(book, no_work, err, "DELETE FROM work WHERE id = ?", "i", id);
}
