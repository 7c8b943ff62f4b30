/* What lies on the bench: its cups are the batch's rows, whoever adds to them; and how works of older books,
 * with cups of their own, came to be so. */
#include "file_local.h"

#include "dropwise/book_bench.h"

#include <stdlib.h>
#include <string.h>

static double drops_in(dw_book *book, int64_t batch, int64_t layer, const char *slug) {
  dw_error err;
  dw_book_cup cup;
  dw_book_addition *list = NULL;
  size_t n = 0;
  double all = 0;
  if (dw_book_cup_find(book, batch, layer, &cup, &err) != DW_OK) return -1;
  expect(dw_book_cup_additions(book, cup.id, &list, &n, &err), DW_OK, err);
  for (size_t i = 0; i < n; i++)
    if (strcmp(list[i].slug, slug) == 0) all += list[i].drops;
  free(list);
  return all;
}

static double volume_of(dw_book *book, int64_t batch, int64_t layer) {
  dw_error err;
  dw_book_cup cup;
  expect(dw_book_cup_find(book, batch, layer, &cup, &err), DW_OK, err);
  return cup.volume_floz;
}

/* ---- older books --------------------------------------------------------------------------------------- */

static void make_version5(const char *path) {
  char *text = NULL;
  size_t n;
  dw_error err;
  expect(dw_file_read(DW_SOURCE_DIR "/tests/book/version5.sql", 1 << 20, &text, &n, &err), DW_OK, err);
  raw_run(path, text);
  free(text);
}

/* Three works: poured but never measured; measured, poured on at the page and by a command; only laid out. */
static void test_works_become_benches(void **state) {
  shop *s = *state;
  dw_error err;
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_batch batch;
  dw_book_bench bench[3];
  char path[96];
  snprintf(path, sizeof path, "%s/five", s->folder);
  make_version5(path);
  expect(dw_book_open(path, DW_BOOK_WRITE, &book, &err), DW_OK, err);
  expect_whole(book);
  expect(dw_pattern_find(book, "creek crawfish", &pattern, &err), DW_OK, err);
  const int64_t back = pattern.layer[0].id, middle = pattern.layer[1].id, belly = pattern.layer[2].id;
  for (int i = 0; i < 3; i++) expect(dw_book_bench_get(book, i + 1, &bench[i], &err), DW_OK, err);
  /* the one that had no batch has one, with all its drops and its clear base */
  assert_near(drops_in(book, bench[0].batch, back, "orange"), 14, 0);
  assert_near(drops_in(book, bench[0].batch, back, "brown"), 3, 0);
  assert_near(volume_of(book, bench[0].batch, back), 4.5, 1e-9);
  assert_near(drops_in(book, bench[0].batch, belly, "white"), 4, 0);
  /* the one of a batch keeps it: what the page alone had is there, and what the command alone had */
  expect(dw_batch_find(book, pattern.id, "1", &batch, &err), DW_OK, err);
  assert_int_equal(bench[1].batch, batch.id);
  assert_near(drops_in(book, batch.id, back, "brown"), 17, 0);
  assert_near(drops_in(book, batch.id, back, "black"), 2, 0);
  assert_near(volume_of(book, batch.id, back), 4.25, 1e-9);
  assert_near(drops_in(book, batch.id, middle, "orange"), 5, 0);
  assert_near(drops_in(book, batch.id, belly, "yellow"), 6, 0);
  assert_string_equal(batch.note, "back: the bench had 10 of brown, the book 17");
  assert_non_null(strstr(bench[1].marks, "corners"));
  assert_int_equal(strlen(bench[1].photo), 64);
  /* the one that was only laid out has its cups' sizes */
  assert_near(volume_of(book, bench[2].batch, back), 6, 0);
  assert_near(volume_of(book, bench[2].batch, belly), 4, 0);
  assert_true(bench[0].batch != bench[2].batch);
  for (int i = 0; i < 3; i++) dw_book_bench_free(&bench[i]);
  dw_book_close(book);
}

/* Cups that say nothing sensible stand in nobody's way. */
static void test_odd_works(void **state) {
  shop *s = *state;
  dw_error err;
  dw_book *book = NULL;
  dw_book_bench bench;
  char path[96];
  snprintf(path, sizeof path, "%s/odd", s->folder);
  make_version5(path);
  raw_run(path, "UPDATE work SET cups = '[7, {\"layer\": \"back\", \"volume_floz\": \"x\", \"drops\": {\"not "
                "a slug!\": 3,"
                " \"mine\": 4}, \"log\": {}}]' WHERE id = 3");
  expect(dw_book_open(path, DW_BOOK_WRITE, &book, &err), DW_OK, err);
  expect_whole(book);
  expect(dw_book_bench_get(book, 3, &bench, &err), DW_OK, err);
  dw_pattern pattern;
  expect(dw_pattern_get(book, bench.pattern, &pattern, &err), DW_OK, err);
  assert_near(drops_in(book, bench.batch, pattern.layer[0].id, "mine"), 4, 0);
  dw_book_bench_free(&bench);
  dw_book_close(book);
}

/* ---- on the bench -------------------------------------------------------------------------------------- */

static void test_life(void **state) {
  shop *s = *state;
  dw_error err;
  dw_pattern pattern;
  dw_book_bench bench;
  dw_book_cup cup;
  dw_book_bench *list = NULL;
  size_t n;
  int64_t id, pattern_id = pattern_make(s->book, "frog");
  expect(dw_pattern_get(s->book, pattern_id, &pattern, &err), DW_OK, err);
  in_change(s->book, dw_book_bench_begin(s->book, pattern_id, "frog", 6, 8, NULL, &id, &err));
  assert_string_equal(dw_book_kept_words(s->book), "frog laid on the bench");
  expect(dw_book_bench_get(s->book, id, &bench, &err), DW_OK, err);
  const int64_t first = bench.batch;
  expect(dw_book_cup_find(s->book, first, pattern.layer[2].id, &cup, &err), DW_OK, err);
  assert_true(cup.additions == 0 && cup.volume_floz == 6 && cup.capacity_floz == 8);
  dw_book_bench_free(&bench);
  /* another writer's drops are the bench's */
  in_change(s->book, dw_book_cup_add(s->book, cup.id, "brown", 7, &err));
  /* marks: the same again is no entry */
  const dw_book_bench_change marks = {.marks = "{\"layers\": []}", .slab = "{\"over\": \"gray\"}"};
  in_change(s->book, dw_book_bench_set(s->book, id, &marks, &err));
  assert_string_equal(dw_book_kept_words(s->book), "bench frog: marks moved");
  in_change(s->book, dw_book_bench_set(s->book, id, &marks, &err));
  assert_string_equal(dw_book_kept_words(s->book), "");
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_book_bench_set(s->book, id, &(dw_book_bench_change){.photo = "beef"}, &err), DW_BAD_INPUT, err);
  expect(dw_book_bench_set(s->book, id, &(dw_book_bench_change){.marks = "[]"}, &err), DW_BAD_INPUT, err);
  dw_book_rollback(s->book);
  /* the next batch's cups are of the size that these were begun with, whatever was added */
  in_change(s->book, dw_book_cup_add(s->book, cup.id, NULL, 0.5, &err));
  in_change(s->book, dw_book_bench_next(s->book, id, &err));
  expect(dw_book_bench_get(s->book, id, &bench, &err), DW_OK, err);
  assert_true(bench.batch != first);
  assert_near(volume_of(s->book, bench.batch, pattern.layer[2].id), 6, 0);
  assert_near(drops_in(s->book, bench.batch, pattern.layer[2].id, "brown"), 0, 0);
  assert_near(drops_in(s->book, first, pattern.layer[2].id, "brown"), 7, 0);
  dw_book_bench_free(&bench);
  /* an undo lays the batch before on it again */
  expect(dw_book_undo(s->book, 0, NULL, &err), DW_OK, err);
  expect(dw_book_bench_list(s->book, &list, &n, &err), DW_OK, err);
  assert_true(n == 1 && list[0].batch == first);
  free(list);
  expect(dw_book_redo(s->book, 0, NULL, &err), DW_OK, err);
  /* taken off, it takes the batch along that nothing was poured into, and no other */
  in_change(s->book, dw_book_bench_remove(s->book, id, &err));
  dw_batch *batches = NULL;
  expect(dw_batch_list(s->book, pattern_id, &batches, &n, &err), DW_OK, err);
  assert_true(n == 1 && batches[0].id == first);
  free(batches);
  expect_whole(s->book);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      book_test(test_works_become_benches),
      book_test(test_odd_works),
      book_test(test_life),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
