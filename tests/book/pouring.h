/* Pours that are logged one after the other, and what must be there of them when they are interrupted. */
#ifndef DROPWISE_TESTS_POURING_H
#define DROPWISE_TESTS_POURING_H

#include "book_local.h"
#include "dropwise/book_journal.h"

/* A batch with a cup, two additions, a pour and its reading: one transaction. */
static inline dw_status pour_log(dw_book *book, const dw_pattern *pattern, int64_t *pour, dw_error *err) {
  int64_t batch = 0, cup, reading;
  dw_status status = dw_book_begin(book, err);
  if (status == DW_OK) status = dw_batch_begin(book, pattern->id, NULL, NULL, &batch, err);
  if (status == DW_OK) status = dw_book_cup_begin(book, batch, pattern->layer[0].id, 4, 5, &cup, err);
  if (status == DW_OK) status = dw_book_cup_add(book, cup, "orange", 12, err);
  if (status == DW_OK) status = dw_book_cup_add(book, cup, "brown", 2, err);
  if (status == DW_OK) status = dw_pour_log(book, &(dw_pour){.cup = cup, .slab = {10, 0.2}}, pour, err);
  dw_book_reading r = {.batch = batch, .layer = pattern->layer[0].id, .pour = *pour, .lab = {50, 20, 30}};
  if (status == DW_OK) status = dw_reading_log(book, &r, &reading, err);
  if (status == DW_OK) status = dw_book_commit(book, err);
  dw_book_rollback(book);
  return status;
}

/* Every third pour is taken back and brought back before it is acknowledged. */
static inline dw_status pour_surely(dw_book *book, const dw_pattern *pattern, int64_t *pour, dw_error *err) {
  dw_status status = pour_log(book, pattern, pour, err);
  if (status != DW_OK || *pour % 3) return status;
  status = dw_book_undo(book, 0, NULL, err);
  return status == DW_OK ? dw_book_redo(book, 0, NULL, err) : status;
}

static inline bool pour_there(dw_book *book, const dw_pattern *pattern, int64_t id) {
  /* the n-th pour is of the n-th batch: one each */
  dw_error err;
  dw_batch batch;
  dw_book_cup cup;
  dw_pour_kept *list = NULL;
  size_t n = 0;
  char name[32];
  snprintf(name, sizeof name, "%lld", (long long)id);
  bool there = dw_batch_find(book, pattern->id, name, &batch, &err) == DW_OK &&
               dw_book_cup_find(book, batch.id, pattern->layer[0].id, &cup, &err) == DW_OK &&
               dw_pour_list(book, cup.id, &list, &n, &err) == DW_OK && n == 1 && list[0].id == id &&
               cup.additions == 2 && list[0].has_measured;
  free(list);
  return there;
}

/* Each pour has its entry: the journal tells of as many as there are, and none twice. */
static inline void expect_journal(dw_book *book, const dw_pattern *pattern) {
  dw_error err;
  dw_entry *list = NULL;
  dw_batch *batches = NULL;
  size_t n, m, done = 0;
  expect(dw_entry_list(book, pattern->id, 0, &list, &n, &err), DW_OK, err);
  expect(dw_batch_list(book, pattern->id, &batches, &m, &err), DW_OK, err);
  for (size_t i = 0; i < n; i++) done += list[i].state == DW_ENTRY_DONE && list[i].kind == DW_ENTRY_READING;
  assert_int_equal(done, m);
  free(list);
  free(batches);
}

/* After a kill: whole, and everything acknowledged in it. */
static inline void expect_nothing_lost(const char *path, const int64_t *acks, size_t n) {
  dw_error err;
  dw_book *book = NULL;
  dw_pattern pattern;
  expect(dw_book_open(path, DW_BOOK_READ, &book, &err), DW_OK, err);
  expect_whole(book);
  expect(dw_pattern_find(book, "frog", &pattern, &err), DW_OK, err);
  for (size_t i = 0; i < n; i++) assert_true(pour_there(book, &pattern, acks[i]));
  expect_journal(book, &pattern);
  dw_book_close(book);
}

#endif
