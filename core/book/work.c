/* Work on the bench, with a revision that grows and a past to go back to. */
#include "book/sql.h"
#include "book/steps.h"

#include <stdlib.h>
#include <string.h>

static const char no_work[] = "There is no such work in the book.";

void pt_work_free(pt_work *work) {
  free(work->marks);
  free(work->cups);
  free(work->slab);
  *work = (pt_work){0};
}

pt_status pt_work_add(pt_book *book, int64_t pattern, const char *name, const char *cups, const char *slab,
                      int64_t *id, pt_error *err) {
  static const char sql[] = "INSERT INTO work (name, pattern, cups, slab, updated) VALUES (?, ?, ?, ?, ?)";
  char now[PT_TIME_ROOM];
  int64_t there;
  pt__book_now(now);
  pt_status status = pt__name_check("piece of work", name, PT_PATTERN_NAME_ROOM, err);
  if (status == PT_OK) status = pt__json_check("The cups", cups, '[', err);
  if (status == PT_OK) status = pt__json_check("The slab", slab, '{', err);
  if (status == PT_OK)
    status = pt__book_integer(book, &there, "There is no such pattern in the book.", err,
                              "SELECT id FROM pattern WHERE id = ?", "i", pattern);
  if (status != PT_OK) return status;
  return pt__book_run(book, id, err, sql, "tittt", name, pattern, cups ? cups : "[]", slab ? slab : "{}",
                      now);
}

pt_status pt_work_get(pt_book *book, int64_t id, pt_work *out, pt_error *err) {
  static const char sql[] = "SELECT w.revision, w.pattern, w.batch, p.sha256, w.name, w.updated,"
                            " EXISTS (SELECT 1 FROM work_past WHERE work = w.id), w.marks, w.cups, w.slab"
                            " FROM work w LEFT JOIN photo p ON p.id = w.photo WHERE w.id = ?";
  pt__query query;
  bool row = false;
  pt_work found = {.id = id};
  pt_status status = pt__query_open(book, sql, &query, err, "i", id);
  if (status == PT_OK) status = pt__query_next(&query, &row, err);
  if (status == PT_OK && !row) status = pt_fail(err, PT_NOT_FOUND, "%s", no_work);
  if (status == PT_OK) {
    found.revision = pt__query_integer(&query, 0);
    found.pattern = pt__query_integer(&query, 1);
    found.batch = pt__query_integer(&query, 2);
    pt__query_copy(&query, 3, found.photo, sizeof found.photo);
    pt__query_copy(&query, 4, found.name, sizeof found.name);
    pt__query_copy(&query, 5, found.updated, sizeof found.updated);
    found.can_undo = pt__query_integer(&query, 6) != 0;
    found.marks = strdup(pt__query_text(&query, 7));
    found.cups = strdup(pt__query_text(&query, 8));
    found.slab = strdup(pt__query_text(&query, 9));
    if (!found.marks || !found.cups || !found.slab) status = pt_fail_memory(err, "the work");
  }
  pt__query_close(&query);
  if (status == PT_OK)
    *out = found;
  else
    pt_work_free(&found);
  return status;
}

pt_status pt_work_revision(pt_book *book, int64_t id, int64_t *revision, pt_error *err) {
  return pt__book_integer(book, revision, no_work, err, "SELECT revision FROM work WHERE id = ?", "i", id);
}

static pt_status title_from_row(const pt__query *query, void *element, pt_error *err) {
  (void)err;
  pt_work_title *out = element;
  *out = (pt_work_title){.id = pt__query_integer(query, 0), .revision = pt__query_integer(query, 1)};
  pt__query_copy(query, 2, out->name, sizeof out->name);
  pt__query_copy(query, 3, out->pattern, sizeof out->pattern);
  pt__query_copy(query, 4, out->updated, sizeof out->updated);
  return PT_OK;
}

pt_status pt_work_list(pt_book *book, pt_work_title **out, size_t *n, pt_error *err) {
  static const char sql[] = "SELECT w.id, w.revision, w.name, p.name, w.updated FROM work w"
                            " JOIN pattern p ON p.id = w.pattern ORDER BY w.updated DESC, w.id DESC";
  return pt__book_list(book, sizeof(pt_work_title), title_from_row, out, n, err, sql, "");
}

/* ---- changes ------------------------------------------------------------------------------------------- */

static pt_status change_check(pt_book *book, const pt_work_change *change, int64_t *photo, pt_error *err) {
  pt_status status = PT_OK;
  *photo = 0;
  if (change->name) status = pt__name_check("piece of work", change->name, PT_PATTERN_NAME_ROOM, err);
  if (status == PT_OK) status = pt__json_check("The marks", change->marks, '{', err);
  if (status == PT_OK) status = pt__json_check("The cups", change->cups, '[', err);
  if (status == PT_OK) status = pt__json_check("The slab", change->slab, '{', err);
  if (status == PT_OK && change->photo && *change->photo) {
    status = pt_photo_find(book, change->photo, photo, err);
    if (status == PT_NOT_FOUND && err) err->code = PT_BAD_INPUT;
    if (status == PT_NOT_FOUND) status = PT_BAD_INPUT;
  }
  return status;
}

/* The state as it is goes to the past, whose oldest states make room. */
static pt_status keep_past(pt_book *book, int64_t id, int64_t *past, pt_error *err) {
  pt_status status = pt__book_run(book, past, err,
                                  "INSERT INTO work_past (work, name, photo, marks, cups, slab)"
                                  " SELECT id, name, photo, marks, cups, slab FROM work WHERE id = ?",
                                  "i", id);
  if (status != PT_OK) return status;
  return pt__book_run(book, NULL, err,
                      "DELETE FROM work_past WHERE work = ?1 AND id <= (SELECT id FROM work_past"
                      " WHERE work = ?1 ORDER BY id DESC LIMIT 1 OFFSET ?2)",
                      "ii", id, (int64_t)PT_WORK_STEPS_MAX);
}

pt_status pt_work_save(pt_book *book, int64_t id, int64_t revision, const pt_work_change *change,
                       pt_error *err) {
  static const char sql[] =
      "UPDATE work SET name = coalesce(?, name), photo = CASE WHEN ? THEN ? ELSE photo END,"
      " marks = coalesce(?, marks), cups = coalesce(?, cups), slab = coalesce(?, slab),"
      " batch = CASE WHEN ? THEN ? ELSE batch END, revision = revision + 1, updated = ? WHERE id = ?";
  char now[PT_TIME_ROOM];
  int64_t current, photo, past;
  pt__book_now(now);
  pt_status status = pt_work_revision(book, id, &current, err);
  if (status == PT_OK && current != revision)
    status = pt_fail(err, PT_REFUSED, "Somebody else changed this work meanwhile; here it is as it is now.");
  if (status == PT_OK) status = change_check(book, change, &photo, err);
  bool visible = change->name || change->photo || change->marks || change->cups || change->slab;
  if (status == PT_OK && visible) status = keep_past(book, id, &past, err);
  if (status == PT_OK && visible) status = pt__step_keep(book, past, change, err);
  if (status != PT_OK) return status;
  return pt__book_run(book, NULL, err, sql, "tirtttirti", change->name, (int64_t)(change->photo != NULL),
                      photo, change->marks, change->cups, change->slab, (int64_t)(change->batch != NULL),
                      change->batch ? *change->batch : (int64_t)0, now, id);
}

pt_status pt_work_undo(pt_book *book, int64_t id, pt_work_undone *out, pt_error *err) {
  static const char sql[] = "UPDATE work SET (name, photo, marks, cups, slab) ="
                            " (SELECT name, photo, marks, cups, slab FROM work_past WHERE id = ?),"
                            " revision = revision + 1, updated = ? WHERE id = ?";
  char now[PT_TIME_ROOM];
  int64_t revision, past;
  pt__book_now(now);
  pt_status status = pt_work_revision(book, id, &revision, err);
  if (status != PT_OK) return status;
  status = pt__book_integer(book, &past, "There is nothing to take back.", err,
                            "SELECT id FROM work_past WHERE work = ? ORDER BY id DESC LIMIT 1", "i", id);
  if (status == PT_NOT_FOUND) return pt_fail(err, PT_REFUSED, "There is nothing to take back.");
  if (status == PT_OK) status = pt__step_undo(book, past, out, err);
  if (status == PT_OK) status = pt__book_run(book, NULL, err, sql, "iti", past, now, id);
  if (status == PT_OK)
    status = pt__book_run(book, NULL, err, "DELETE FROM work_past WHERE id = ?", "i", past);
  return status;
}

pt_status pt_work_remove(pt_book *book, int64_t id, pt_error *err) {
  return pt__book_change(book, no_work, err, "DELETE FROM work WHERE id = ?", "i", id);
}
