/* What lies on the bench: begun, looked at, changed, taken back. */
#include "app/bench/on_bench.h"
#include "app/bench/request.h"
#include "dropwise/book_settings.h"

#include <stdlib.h>
#include <time.h>

enum { WAIT_S = 20, LOOK_AGAIN_S = 2 }; /* other programs change the book too: only a look tells of it */

/* ---- begun ------------------------------------------------------------------------------------------------
 */

static dw_status lay(dw_bench *bench, int64_t pattern_id, int64_t *id, dw_error *err) {
  static const char slab[] = "{\"thickness_mm\":10,\"over\":\"gray\"}";
  dw_pattern pattern;
  double volume_floz, capacity_floz;
  dw_status status = dw_pattern_get(bench->book, pattern_id, &pattern, err);
  if (status == DW_OK) status = dw_book_fresh_cup(bench->book, &volume_floz, &capacity_floz, err);
  if (status != DW_OK) return status;
  return dw_book_bench_begin(bench->book, pattern_id, pattern.name, volume_floz, capacity_floz, slab, id,
                             err);
}

dw_status dw__work_post(dw__exchange *x, dw_error *err) {
  int64_t pattern, id;
  dw_status status = dw_json_whole_of(x->body, "pattern", 1, INT64_MAX, 0, &pattern, err);
  if (status == DW_OK) status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  status = dw__book_end(x->bench, lay(x->bench, pattern, &id, err), err);
  if (status == DW_OK) status = dw__work_answer(x, id, err);
  x->status = status == DW_OK ? MHD_HTTP_CREATED : 0;
  return status;
}

/* ---- looked at --------------------------------------------------------------------------------------------
 */

/* With the lock held: waits until the book is past `after`, the time is over, or the bench ends. */
static dw_status wait_past(dw_bench *bench, int64_t after, int64_t *tick, dw_error *err) {
  struct timespec until;
  clock_gettime(CLOCK_MONOTONIC, &until);
  time_t end = until.tv_sec + WAIT_S;
  for (;;) {
    dw_status status = dw_book_tick(bench->book, tick, err);
    if (status != DW_OK || *tick > after || bench->stopping || until.tv_sec >= end) return status;
    until.tv_sec += LOOK_AGAIN_S;
    pthread_cond_timedwait(&bench->book_changed, &bench->book_lock, &until);
    clock_gettime(CLOCK_MONOTONIC, &until);
  }
}

dw_status dw__work_get(dw__exchange *x, dw_error *err) {
  char text[24];
  double after = -1;
  int64_t tick = 0;
  if (dw__query(x, "after", text, sizeof text) && !dw_parse_number_in(text, 0, 1e15, &after))
    return dw_fail(err, DW_USAGE, "\"after\" in the address must be a revision.");
  pthread_mutex_lock(&x->bench->book_lock);
  dw_status status = wait_past(x->bench, (int64_t)after, &tick, err);
  pthread_mutex_unlock(&x->bench->book_lock);
  if (status == DW_OK && (double)tick > after) return dw__work_answer(x, dw__id(x, 0), err);
  if (status == DW_OK) x->status = MHD_HTTP_NO_CONTENT;
  return status;
}

/* ---- changed ----------------------------------------------------------------------------------------------
 */

/* A part of the body as text for the book; *out NULL when the body has none. */
static dw_status part_text(const json_t *body, const char *key, char **out, dw_error *err) {
  const json_t *part = json_object_get(body, key);
  *out = NULL;
  if (!part) return DW_OK;
  *out = dw_json_write(part, JSON_COMPACT | JSON_REAL_PRECISION(10));
  return *out ? DW_OK : dw_fail_memory(err, "the change");
}

static dw_status check_parts(const json_t *body, size_t n_layers, dw_error *err) {
  const json_t *marks = json_object_get(body, "marks");
  dw_slab slab;
  dw_bait_picture look;
  dw_marks *read = calloc(1, sizeof *read);
  if (!read) return dw_fail_memory(err, "the marks");
  dw_status status = marks ? dw__marks_of(marks, read, err) : DW_OK;
  if (status == DW_OK && marks && !json_is_object(marks))
    status = dw_fail(err, DW_USAGE, "\"marks\" must be an object.");
  if (status == DW_OK) status = dw_json_slab_of(json_object_get(body, "slab"), &slab, err);
  if (status == DW_OK) status = dw__look_of(json_object_get(body, "slab"), n_layers, &look, err);
  free(read);
  return status;
}

static dw_status change_of(const json_t *body, dw_book_bench_change *out, char *owned[2], dw_error *err) {
  const json_t *photo = json_object_get(body, "photo");
  dw_status status = dw_json_text_of(body, "name", false, &out->name, err);
  if (status == DW_OK) status = dw_json_text_of(body, "photo", false, &out->photo, err);
  if (json_is_null(photo)) out->photo = "";
  if (status == DW_OK) status = part_text(body, "marks", &owned[0], err);
  if (status == DW_OK) status = part_text(body, "slab", &owned[1], err);
  out->marks = owned[0];
  out->slab = owned[1];
  return status;
}

dw_status dw__work_patch(dw__exchange *x, dw_error *err) {
  dw__on_bench on;
  dw_book_bench_change change = {0};
  char *owned[2] = {NULL};
  dw_status status = dw__on_bench_begin(x, DW__SAW_WORK, &on, err);
  if (status != DW_OK) return status;
  status = check_parts(x->body, on.pattern.n, err);
  if (status == DW_OK) status = change_of(x->body, &change, owned, err);
  if (status == DW_OK) status = dw_book_bench_set(x->bench->book, on.row.id, &change, err);
  status = dw__on_bench_end(x, &on, status, err);
  for (size_t i = 0; i < sizeof owned / sizeof *owned; i++) free(owned[i]);
  return status;
}

dw_status dw__work_delete(dw__exchange *x, dw_error *err) {
  return dw__book_remove(x, dw_book_bench_remove, err);
}

/* ---- taken back, brought back -----------------------------------------------------------------------------
 */

/* The bench that the page shows may be gone with the step. */
static dw_status answer_step(dw__exchange *x, int64_t work, const dw_entry *entry, dw_error *err) {
  json_t *now = NULL;
  dw_status status = dw__book_begin_reading(x->bench, err);
  if (status != DW_OK) return status;
  status = work ? dw__work_json(x->bench, work, &now, err) : DW_NOT_FOUND;
  status = dw__book_end(x->bench, status == DW_NOT_FOUND ? DW_OK : status, err);
  if (status != DW_OK) return status;
  x->json = json_pack("{s:s, s:s, s:o}", "kind", dw_entry_kind_name(entry->kind), "words", entry->words,
                      "work", now ? now : json_null());
  return x->json ? DW_OK : dw_fail_memory(err, "the answer");
}

static dw_status step(dw__exchange *x,
                      dw_status (*which)(dw_book *book, int64_t id, dw_entry *out, dw_error *err),
                      dw_error *err) {
  int64_t entry_id, work;
  dw_entry entry;
  dw_status status = dw_json_whole_of(x->body, "entry", 1, INT64_MAX, 0, &entry_id, err);
  if (status == DW_OK) status = dw_json_whole_of(x->body, "work", 1, INT64_MAX, 0, &work, err);
  if (status == DW_OK) status = dw__book_step(x, which, entry_id, &entry, err);
  return status == DW_OK ? answer_step(x, work, &entry, err) : status;
}

dw_status dw__undo_post(dw__exchange *x, dw_error *err) {
  return step(x, dw_book_undo, err);
}

dw_status dw__redo_post(dw__exchange *x, dw_error *err) {
  return step(x, dw_book_redo, err);
}
