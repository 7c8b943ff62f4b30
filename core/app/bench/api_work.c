/* What lies on the bench: begun, looked at, changed, taken back. */
#include "app/bench/desk.h"
#include "app/bench/request.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { WAIT_S = 20, LOOK_AGAIN_S = 2 }; /* other programs change the book too: only a look tells of it */

/* ---- begun ------------------------------------------------------------------------------------------------
 */

static char *fresh_cups(const dw_pattern *pattern) {
  json_t *cups = json_array();
  for (size_t i = 0; i < pattern->n; i++)
    cups = dw_json_and(cups, json_pack("{s:s, s:f, s:f, s:{}, s:n, s:[]}", "layer", pattern->layer[i].name,
                                       "volume_floz", 4.0, "capacity_floz", 5.0, "drops", "measured", "log"));
  char *text = json_dumps(cups, JSON_COMPACT | JSON_REAL_PRECISION(10));
  json_decref(cups);
  return text;
}

static dw_status add(dw_bench *bench, int64_t pattern_id, int64_t *id, dw_error *err) {
  static const char slab[] = "{\"thickness_mm\":10,\"over\":\"gray\"}";
  dw_pattern pattern;
  dw_status status = dw_pattern_get(bench->book, pattern_id, &pattern, err);
  if (status != DW_OK) return status;
  char *cups = fresh_cups(&pattern);
  status = cups ? dw_work_add(bench->book, pattern_id, pattern.name, cups, slab, id, err)
                : dw_fail_memory(err, "the cups");
  free(cups);
  return status;
}

dw_status dw__work_post(dw__exchange *x, dw_error *err) {
  int64_t pattern, id;
  dw_work work = {0};
  dw_status status = dw_json_whole_of(x->body, "pattern", 1, INT64_MAX, 0, &pattern, err);
  if (status == DW_OK) status = dw__book_begin(x->bench, err);
  if (status != DW_OK) return status;
  status = add(x->bench, pattern, &id, err);
  if (status == DW_OK) status = dw_work_get(x->bench->book, id, &work, err);
  status = dw__book_end(x->bench, status, err);
  if (status == DW_OK && !(x->json = dw__work_json(&work))) status = dw_fail_memory(err, "the work");
  dw_work_free(&work);
  x->status = status == DW_OK ? MHD_HTTP_CREATED : 0;
  return status;
}

/* ---- looked at --------------------------------------------------------------------------------------------
 */

/* With the lock held: waits until the work is past `after`, the time is over, or the bench ends. */
static dw_status wait_past(dw_bench *bench, int64_t id, int64_t after, int64_t *revision, dw_error *err) {
  struct timespec until;
  clock_gettime(CLOCK_MONOTONIC, &until);
  time_t end = until.tv_sec + WAIT_S;
  for (;;) {
    dw_status status = dw_work_revision(bench->book, id, revision, err);
    if (status != DW_OK || *revision > after || bench->stopping || until.tv_sec >= end) return status;
    until.tv_sec += LOOK_AGAIN_S;
    pthread_cond_timedwait(&bench->book_changed, &bench->book_lock, &until);
    clock_gettime(CLOCK_MONOTONIC, &until);
  }
}

dw_status dw__work_get(dw__exchange *x, dw_error *err) {
  dw_bench *bench = x->bench;
  dw_work work = {0};
  char text[24];
  double after = -1;
  int64_t id = dw__id(x, 0), revision = 0;
  if (dw__query(x, "after", text, sizeof text) && !dw_parse_number_in(text, 0, 1e15, &after))
    return dw_fail(err, DW_USAGE, "\"after\" in the address must be a revision.");
  pthread_mutex_lock(&bench->book_lock);
  dw_status status = wait_past(bench, id, (int64_t)after, &revision, err);
  bool news = status == DW_OK && (double)revision > after;
  if (news) status = dw_work_get(bench->book, id, &work, err);
  pthread_mutex_unlock(&bench->book_lock);
  if (status == DW_OK && news && !(x->json = dw__work_json(&work))) status = dw_fail_memory(err, "the work");
  if (status == DW_OK && !news) x->status = MHD_HTTP_NO_CONTENT;
  dw_work_free(&work);
  return status;
}

/* ---- changed ----------------------------------------------------------------------------------------------
 */

/* A part of the body as text for the book; *out NULL when the body has none. */
static dw_status part_text(const json_t *body, const char *key, char **out, dw_error *err) {
  const json_t *part = json_object_get(body, key);
  *out = NULL;
  if (!part) return DW_OK;
  *out = json_dumps(part, JSON_COMPACT | JSON_REAL_PRECISION(10));
  return *out ? DW_OK : dw_fail_memory(err, "the change");
}

static dw_status check_parts(const json_t *body, const dw_shelf *shelf, dw_error *err) {
  const json_t *marks = json_object_get(body, "marks"), *cups = json_object_get(body, "cups");
  dw_slab slab;
  dw_marks *read = calloc(1, sizeof *read);
  if (!read) return dw_fail_memory(err, "the marks");
  dw_status status = marks ? dw__marks_of(marks, read, err) : DW_OK;
  if (status == DW_OK && marks && !json_is_object(marks))
    status = dw_fail(err, DW_USAGE, "\"marks\" must be an object.");
  if (status == DW_OK && cups) status = dw__cups_check(cups, shelf, err);
  if (status == DW_OK) status = dw_json_slab_of(json_object_get(body, "slab"), &slab, err);
  free(read);
  return status;
}

static dw_status change_of(const json_t *body, dw_work_change *out, char *owned[3], dw_error *err) {
  const json_t *photo = json_object_get(body, "photo");
  dw_status status = dw_json_text_of(body, "name", false, &out->name, err);
  if (status == DW_OK) status = dw_json_text_of(body, "photo", false, &out->photo, err);
  if (json_is_null(photo)) out->photo = "";
  if (status == DW_OK) status = part_text(body, "marks", &owned[0], err);
  if (status == DW_OK) status = part_text(body, "cups", &owned[1], err);
  if (status == DW_OK) status = part_text(body, "slab", &owned[2], err);
  out->marks = owned[0];
  out->cups = owned[1];
  out->slab = owned[2];
  return status;
}

dw_status dw__work_patch(dw__exchange *x, dw_error *err) {
  dw__work work;
  dw_work_change change = {0};
  char *owned[3] = {NULL};
  dw_status status = dw__work_begin(x, true, &work, err);
  if (status != DW_OK) return status;
  status = check_parts(x->body, dw__work_held(&work), err);
  if (status == DW_OK) status = change_of(x->body, &change, owned, err);
  status = dw__work_end(x, &work, &change, status, err);
  for (size_t i = 0; i < 3; i++) free(owned[i]);
  return status;
}

/* What the bottles taught since readings went that they were learned from. */
static dw_status learn_anew(dw_book *book, dw_error *err) {
  dw_shelf *shelf = NULL;
  dw_learned learned;
  dw_status status = dw_book_shelf(book, &shelf, NULL, err);
  if (status == DW_OK) status = dw_book_learn(book, shelf, &learned, err);
  dw_shelf_free(shelf);
  return status;
}

dw_status dw__work_undo_post(dw__exchange *x, dw_error *err) {
  dw__work work;
  dw_work_undone undone = {0};
  dw_status status = dw__work_begin(x, false, &work, err);
  if (status != DW_OK) return status;
  status = dw_work_undo(x->bench->book, work.row.id, &undone, err);
  if (status == DW_OK && undone.learned_since) status = learn_anew(x->bench->book, err);
  status = dw__work_end(x, &work, NULL, status, err);
  if (status == DW_OK)
    json_object_set_new(x->json, "undone",
                        json_pack("{s:I, s:b, s:b}", "readings", (json_int_t)undone.readings, "batch_gone",
                                  undone.batch_gone, "batch_opened", undone.opened));
  return status;
}

dw_status dw__work_delete(dw__exchange *x, dw_error *err) {
  return dw__book_remove(x, dw_work_remove, err);
}
