#include "app/bench/on_bench.h"

#include "app/bench/request.h"

#include <nettle/sha2.h>
#include <stdlib.h>
#include <string.h>

static void seen_end(struct sha256_ctx *sha, char out[DW__SEEN_ROOM]) {
  uint8_t digest[8];
  sha256_digest(sha, sizeof digest, digest);
  dw_hex(digest, sizeof digest, out);
}

static void seen_text(struct sha256_ctx *sha, const char *text) {
  sha256_update(sha, strlen(text) + 1, (const uint8_t *)text);
}

void dw__on_bench_seen(const dw_book_bench *row, char out[DW__SEEN_ROOM]) {
  struct sha256_ctx sha;
  char batch[24];
  snprintf(batch, sizeof batch, "%lld", (long long)row->batch);
  const char *parts[] = {row->name, row->photo, row->marks, row->slab, batch};
  sha256_init(&sha);
  for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) seen_text(&sha, parts[i]);
  seen_end(&sha, out);
}

static void seen_cup(struct sha256_ctx *sha, const dw_book_cup *cup, const dw_book_addition *list, size_t n) {
  char line[160];
  snprintf(line, sizeof line, "%lld %.6f %.6f", (long long)cup->id, cup->volume_floz, cup->capacity_floz);
  seen_text(sha, line);
  for (size_t i = 0; i < n; i++) {
    snprintf(line, sizeof line, "%s %.6f %.6f", list[i].slug, list[i].drops, list[i].clear_floz);
    seen_text(sha, line);
  }
}

void dw__cup_seen(const dw_book_cup *cup, const dw_book_addition *list, size_t n, char out[DW__SEEN_ROOM]) {
  struct sha256_ctx sha;
  sha256_init(&sha);
  seen_cup(&sha, cup, list, n);
  seen_end(&sha, out);
}

static dw_status seen_layer(dw_book *book, int64_t batch, int64_t layer, struct sha256_ctx *sha,
                            dw_error *err) {
  dw_book_cup cup;
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_status status = dw_book_cup_contents(book, batch, layer, &cup, &list, &n, err);
  if (status == DW_OK && cup.id) seen_cup(sha, &cup, list, n);
  free(list);
  return status;
}

dw_status dw__cups_seen(dw_book *book, const dw__on_bench *on, char out[DW__SEEN_ROOM], dw_error *err) {
  struct sha256_ctx sha;
  dw_status status = DW_OK;
  sha256_init(&sha);
  for (size_t i = 0; i < on->pattern.n && status == DW_OK; i++)
    status = seen_layer(book, on->row.batch, on->pattern.layer[i].id, &sha, err);
  seen_end(&sha, out);
  return status;
}

static dw_status check_seen(const dw__exchange *x, dw__saw saw, const dw_book_bench *row, dw_error *err) {
  const char *seen;
  char now[DW__SEEN_ROOM];
  dw_status status = dw_json_text_of(x->body, "seen", true, &seen, err);
  if (status != DW_OK || saw == DW__SAW_CUP) return status;
  dw__on_bench_seen(row, now);
  if (strcmp(seen, now) == 0) return DW_OK;
  return dw_fail(err, DW_REFUSED, "Somebody else changed this meanwhile; here it is as it is now.");
}

dw_status dw__work_answer(dw__exchange *x, int64_t id, dw_error *err) {
  dw_status status = dw__book_begin_reading(x->bench, err);
  return status == DW_OK ? dw__book_end(x->bench, dw__work_json(x->bench, id, &x->json, err), err) : status;
}

dw_status dw__on_bench_begin(dw__exchange *x, dw__saw saw, dw__on_bench *out, dw_error *err) {
  *out = (dw__on_bench){0};
  dw_book *book = x->bench->book;
  dw_status status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  status = dw_book_bench_get(book, dw__id(x, 0), &out->row, err);
  if (status == DW_OK) status = check_seen(x, saw, &out->row, err);
  if (status == DW_OK) status = dw_pattern_get(book, out->row.pattern, &out->pattern, err);
  return status == DW_OK ? DW_OK : dw__on_bench_end(x, out, status, err);
}

/* WORK is made behind the commit: what an undo would take is the entry that the commit wrote. */
dw_status dw__on_bench_end(dw__exchange *x, dw__on_bench *on, dw_status status, dw_error *err) {
  int64_t id = dw__id(x, 0);
  status = dw__book_end(x->bench, status, err);
  dw_book_bench_free(&on->row);
  if (status == DW_REFUSED && dw__work_answer(x, id, NULL) == DW_OK) x->status = MHD_HTTP_CONFLICT;
  return status == DW_OK ? dw__work_answer(x, id, err) : status;
}

dw_status dw__cups_check(dw__exchange *x, const dw__on_bench *on, dw_error *err) {
  const char *seen;
  char now[DW__SEEN_ROOM];
  dw_status status = dw_json_text_of(x->body, "cups_seen", false, &seen, err);
  if (status == DW_OK && seen) status = dw__cups_seen(x->bench->book, on, now, err);
  if (status != DW_OK || !seen || strcmp(seen, now) == 0) return status;
  return dw_fail(err, DW_REFUSED, "A cup was changed meanwhile; here it is as it is now.");
}

static dw_status look(dw_book *book, int64_t id, dw_book_bench *row, dw_pattern *pattern, dw_error *err) {
  dw_status status = dw_book_bench_get(book, id, row, err);
  return status == DW_OK ? dw_pattern_get(book, row->pattern, pattern, err) : status;
}

dw_status dw__on_bench_look(dw__exchange *x, dw_book_bench *row, dw_pattern *pattern, dw_error *err) {
  dw_status status = dw__book_begin_reading(x->bench, err);
  if (status != DW_OK) return status;
  return dw__book_end(x->bench, look(x->bench->book, dw__id(x, 0), row, pattern, err), err);
}

dw_status dw__on_bench_shelf(dw__exchange *x, const dw__on_bench *on, dw_shelf **shelf, dw_slab *slab,
                             dw_error *err) {
  dw_book *book = x->bench->book;
  json_t *slab_json = dw__parsed(on->row.slab);
  dw_status status = dw_json_slab_of(slab_json, slab, err);
  json_decref(slab_json);
  if (status == DW_OK) status = dw__cups_check(x, on, err);
  if (status == DW_OK) status = dw_book_shelf(book, shelf, NULL, err);
  return status == DW_OK ? dw_book_shelf_hold(book, *shelf, err) : status;
}
