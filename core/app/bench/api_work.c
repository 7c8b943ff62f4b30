/* What lies on the bench: begun, looked at, changed, taken back. */
#include "app/bench/desk.h"
#include "app/values.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { WAIT_S = 20, LOOK_AGAIN_S = 2 }; /* other programs change the book too: only a look tells of it */

/* ---- begun ------------------------------------------------------------------------------------------------
 */

static char *fresh_cups(const pt_pattern *pattern) {
  json_t *cups = json_array();
  for (size_t i = 0; i < pattern->n; i++)
    cups = pt_json_and(cups, json_pack("{s:s, s:f, s:f, s:{}, s:n, s:[]}", "layer", pattern->layer[i].name,
                                       "volume_floz", 4.0, "capacity_floz", 5.0, "drops", "measured", "log"));
  char *text = json_dumps(cups, JSON_COMPACT | JSON_REAL_PRECISION(10));
  json_decref(cups);
  return text;
}

static pt_status add(pt_bench *bench, int64_t pattern_id, int64_t *id, pt_error *err) {
  static const char slab[] = "{\"thickness_mm\":10,\"over\":\"gray\"}";
  pt_pattern pattern;
  pt_status status = pt_pattern_get(bench->book, pattern_id, &pattern, err);
  if (status != PT_OK) return status;
  char *cups = fresh_cups(&pattern);
  status = cups ? pt_work_add(bench->book, pattern_id, pattern.name, cups, slab, id, err)
                : pt_fail_memory(err, "the cups");
  free(cups);
  return status;
}

pt_status pt__work_post(pt__exchange *x, pt_error *err) {
  int64_t pattern, id;
  pt_work work = {0};
  pt_status status = pt__whole_of(x->body, "pattern", 1, INT64_MAX, 0, &pattern, err);
  if (status == PT_OK) status = pt__book_begin(x->bench, err);
  if (status != PT_OK) return status;
  status = add(x->bench, pattern, &id, err);
  if (status == PT_OK) status = pt_work_get(x->bench->book, id, &work, err);
  status = pt__book_end(x->bench, status, err);
  if (status == PT_OK && !(x->json = pt__work_json(&work))) status = pt_fail_memory(err, "the work");
  pt_work_free(&work);
  x->status = status == PT_OK ? MHD_HTTP_CREATED : 0;
  return status;
}

/* ---- looked at --------------------------------------------------------------------------------------------
 */

/* With the lock held: waits until the work is past `after`, the time is over, or the bench ends. */
static pt_status wait_past(pt_bench *bench, int64_t id, int64_t after, int64_t *revision, pt_error *err) {
  struct timespec until;
  clock_gettime(CLOCK_MONOTONIC, &until);
  time_t end = until.tv_sec + WAIT_S;
  for (;;) {
    pt_status status = pt_work_revision(bench->book, id, revision, err);
    if (status != PT_OK || *revision > after || bench->stopping || until.tv_sec >= end) return status;
    until.tv_sec += LOOK_AGAIN_S;
    pthread_cond_timedwait(&bench->book_changed, &bench->book_lock, &until);
    clock_gettime(CLOCK_MONOTONIC, &until);
  }
}

pt_status pt__work_get(pt__exchange *x, pt_error *err) {
  pt_bench *bench = x->bench;
  pt_work work = {0};
  char text[24];
  double after = -1;
  int64_t id = pt__id(x, 0), revision = 0;
  if (pt__query(x, "after", text, sizeof text) && !pt_parse_number_in(text, 0, 1e15, &after))
    return pt_fail(err, PT_USAGE, "\"after\" in the address must be a revision.");
  pthread_mutex_lock(&bench->book_lock);
  pt_status status = wait_past(bench, id, (int64_t)after, &revision, err);
  bool news = status == PT_OK && (double)revision > after;
  if (news) status = pt_work_get(bench->book, id, &work, err);
  pthread_mutex_unlock(&bench->book_lock);
  if (status == PT_OK && news && !(x->json = pt__work_json(&work))) status = pt_fail_memory(err, "the work");
  if (status == PT_OK && !news) x->status = MHD_HTTP_NO_CONTENT;
  pt_work_free(&work);
  return status;
}

/* ---- changed ----------------------------------------------------------------------------------------------
 */

/* A part of the body as text for the book; *out NULL when the body has none. */
static pt_status part_text(const json_t *body, const char *key, char **out, pt_error *err) {
  const json_t *part = json_object_get(body, key);
  *out = NULL;
  if (!part) return PT_OK;
  *out = json_dumps(part, JSON_COMPACT | JSON_REAL_PRECISION(10));
  return *out ? PT_OK : pt_fail_memory(err, "the change");
}

static pt_status check_parts(const json_t *body, const pt_shelf *shelf, pt_error *err) {
  const json_t *marks = json_object_get(body, "marks"), *cups = json_object_get(body, "cups");
  pt_slab slab;
  pt_marks *read = calloc(1, sizeof *read);
  if (!read) return pt_fail_memory(err, "the marks");
  pt_status status = marks ? pt__marks_of(marks, read, err) : PT_OK;
  if (status == PT_OK && marks && !json_is_object(marks))
    status = pt_fail(err, PT_USAGE, "\"marks\" must be an object.");
  if (status == PT_OK && cups) status = pt__cups_check(cups, shelf, err);
  if (status == PT_OK) status = pt__slab_of(json_object_get(body, "slab"), &slab, err);
  free(read);
  return status;
}

static pt_status change_of(const json_t *body, pt_work_change *out, char *owned[3], pt_error *err) {
  const json_t *photo = json_object_get(body, "photo");
  pt_status status = pt__text_of(body, "name", false, &out->name, err);
  if (status == PT_OK) status = pt__text_of(body, "photo", false, &out->photo, err);
  if (json_is_null(photo)) out->photo = "";
  if (status == PT_OK) status = part_text(body, "marks", &owned[0], err);
  if (status == PT_OK) status = part_text(body, "cups", &owned[1], err);
  if (status == PT_OK) status = part_text(body, "slab", &owned[2], err);
  out->marks = owned[0];
  out->cups = owned[1];
  out->slab = owned[2];
  return status;
}

pt_status pt__work_patch(pt__exchange *x, pt_error *err) {
  pt__work work;
  pt_work_change change = {0};
  char *owned[3] = {NULL};
  pt_status status = pt__work_begin(x, true, &work, err);
  if (status != PT_OK) return status;
  status = check_parts(x->body, pt__work_held(&work), err);
  if (status == PT_OK) status = change_of(x->body, &change, owned, err);
  status = pt__work_end(x, &work, &change, status, err);
  for (size_t i = 0; i < 3; i++) free(owned[i]);
  return status;
}

/* What the bottles taught since readings went that they were learned from. */
static pt_status learn_anew(pt_book *book, pt_error *err) {
  pt_shelf *shelf = NULL;
  pt_learned learned;
  pt_status status = pt_book_shelf(book, &shelf, NULL, err);
  if (status == PT_OK) status = pt_book_learn(book, shelf, &learned, err);
  pt_shelf_free(shelf);
  return status;
}

pt_status pt__work_undo_post(pt__exchange *x, pt_error *err) {
  pt__work work;
  pt_work_undone undone = {0};
  pt_status status = pt__work_begin(x, false, &work, err);
  if (status != PT_OK) return status;
  status = pt_work_undo(x->bench->book, work.row.id, &undone, err);
  if (status == PT_OK && undone.learned_since) status = learn_anew(x->bench->book, err);
  status = pt__work_end(x, &work, NULL, status, err);
  if (status == PT_OK)
    json_object_set_new(x->json, "undone",
                        json_pack("{s:I, s:b, s:b}", "readings", (json_int_t)undone.readings, "batch_gone",
                                  undone.batch_gone, "batch_opened", undone.opened));
  return status;
}

pt_status pt__work_delete(pt__exchange *x, pt_error *err) {
  return pt__book_remove(x, pt_work_remove, err);
}
