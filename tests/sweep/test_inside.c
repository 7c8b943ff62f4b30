/* Each allocation of one call fails in turn, in this process: what a sweep of whole commands found, by itself. */
#include "alloc.h"
#include "bait/drawn.h"
#include "book/book_local.h"
#include "book/sql.h"
#include "dropwise/advise.h"
#include "dropwise/batch.h"
#include "dropwise/batch_flake.h"
#include "dropwise/book_journal.h"
#include "dropwise/numeric.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

/* ---- the C library's allocations, one of which fails ----------------------------------------------------- */

static long left; /* allocations until the one that fails, it included; 0: none does */

bool sweep_fails(void) {
  return left != 0 && --left == 0;
}

/* Whether the armed call went by the allocation that was to fail. */
static bool met(void) {
  bool one = left == 0;
  left = 0;
  return one;
}

/* ---- numbers: LAPACKE says on the standard output what it has no memory for -------------------------------- */

static int saved_out, caught;

static void catch_out(void) {
  fflush(stdout);
  saved_out = dup(STDOUT_FILENO);
  caught = memfd_create("out", MFD_CLOEXEC);
  assert_true(saved_out >= 0 && caught >= 0 && dup2(caught, STDOUT_FILENO) >= 0);
}

/* How much was written. */
static off_t release_out(void) {
  fflush(stdout);
  off_t n = lseek(caught, 0, SEEK_END);
  dup2(saved_out, STDOUT_FILENO);
  close(saved_out);
  close(caught);
  return n;
}

enum { LARGE = 60, SMALL = 8 };

static dw_status eigen(size_t order, dw_error *err) {
  static double A[LARGE * LARGE], values[LARGE];
  memset(A, 0, sizeof A);
  for (size_t i = 0; i < order; i++) A[i * order + i] = (double)i + 1;
  return dw_symmetric_eigen(A, order, values, err);
}

static dw_status fit(size_t order, dw_error *err) {
  static double A[LARGE * LARGE * LARGE], B[LARGE * LARGE], X[LARGE];
  size_t rows = order * order;
  for (size_t i = 0; i < rows; i++) {
    for (size_t j = 0; j < order; j++) A[i * order + j] = i % order == j;
    B[i] = (double)(i % order);
  }
  return dw_least_squares(A, B, rows, order, 1, X, err);
}

/* How many allocations it had. */
static long each_number(dw_status (*call)(size_t order, dw_error *err), size_t order) {
  dw_error err;
  long n = 0;
  bool one = true;
  while (one) {
    catch_out();
    left = ++n;
    dw_status status = call(order, &err);
    one = met();
    assert_int_equal(release_out(), 0);
    assert_int_equal(status, one ? DW_NO_MEMORY : DW_OK);
  }
  return n - 1;
}

static void test_numbers(void **state) {
  (void)state;
  assert_true(each_number(eigen, LARGE) > 0);
  assert_true(each_number(fit, LARGE) > 0);
}

/* A lack of memory must not pass for a shape that has no axis, or for a sheet that has no plane. */
static void test_small_numbers(void **state) {
  (void)state;
  assert_int_equal(each_number(eigen, SMALL), 0);
  assert_int_equal(each_number(fit, SMALL), 0);
}

/* ---- the book -------------------------------------------------------------------------------------------- */

/* A text that SQLite has no memory for becomes NULL: it is no empty one. */
static void test_text(void **state) {
  enum { LONG = 1500, PART = 1400 };
  static char note[LONG + 1];
  shop *s = *state;
  dw_error err;
  bool one = true;
  memset(note, 'x', LONG);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw__book_run(s->book, NULL, &err, "INSERT INTO pattern (name, note, created) VALUES ('a', ?, '')",
                      "t", note),
         DW_OK, err);
  expect(dw_book_commit(s->book, &err), DW_OK, err);
  for (long n = 1; one; n++) {
    dw__query query = {0};
    bool row = false;
    expect(dw__query_open(s->book, "SELECT substr(note, 1, 1400) FROM pattern", &query, &err, ""), DW_OK,
           err);
    left = n;
    dw_status status = dw__query_next(&query, &row, &err);
    size_t length = status == DW_OK ? strlen(dw__query_text(&query, 0)) : 0;
    if (status == DW_OK) status = dw__query_whole(&query, &err);
    one = met();
    if (status == DW_OK)
      assert_int_equal(length, PART);
    else
      expect(status, DW_NO_MEMORY, err);
    dw__query_close(&query);
  }
}

/* A change of several tables, each with more columns than the one before: the journal goes through them. */
static void test_commit(void **state) {
  static const char *const layers[] = {"back", "belly"};
  static dw_pattern found;
  shop *s = *state;
  dw_error err;
  bool one = true;
  for (long n = 1; one; n++) {
    char name[40];
    int64_t pattern, batch, cup, pour;
    snprintf(name, sizeof name, "point %ld", n);
    expect(dw_book_begin(s->book, &err), DW_OK, err);
    expect(dw_pattern_add(s->book, name, "", layers, 2, &pattern, &err), DW_OK, err);
    expect(dw_batch_begin(s->book, pattern, "b", NULL, &batch, &err), DW_OK, err);
    expect(dw_pattern_find(s->book, name, &found, &err), DW_OK, err);
    expect(dw_book_cup_begin(s->book, batch, found.layer[0].id, 4, 5, &cup, &err), DW_OK, err);
    dw_pour poured = {.cup = cup, .slab = {10, 0.2}};
    expect(dw_pour_log(s->book, &poured, &pour, &err), DW_OK, err);
    dw_book_reading reading = {
        .batch = batch, .layer = found.layer[0].id, .pour = pour, .lab = {51, 21, 1}, .kept = 1};
    expect(dw_reading_log(s->book, &reading, &pour, &err), DW_OK, err);
    left = n;
    dw_status status = dw_book_commit(s->book, &err);
    one = met();
    if (status == DW_OK) continue;
    expect(status, DW_NO_MEMORY, err);
    dw_book_rollback(s->book);
  }
  expect_whole(s->book);
}

/* Rows that are put back: what memory lacks for is no other book than the journal's. */
static void test_undo(void **state) {
  enum { LONG = 240 };
  char note[LONG + 1] = "";
  shop *s = *state;
  dw_error err;
  dw_entry last, done;
  bool one = true;
  int64_t pattern = pattern_make(s->book, "creek");
  memset(note, 'x', LONG);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_pattern_set_note(s->book, pattern, note, &err), DW_OK, err);
  expect(dw_book_commit(s->book, &err), DW_OK, err);
  expect(dw_book_begin(s->book, &err), DW_OK, err);
  expect(dw_pattern_remove(s->book, pattern, &err), DW_OK, err);
  expect(dw_book_commit(s->book, &err), DW_OK, err);
  expect(dw_entry_to_undo(s->book, &last, &err), DW_OK, err);
  for (long n = 1; one; n++) {
    left = n;
    dw_status status = dw_book_undo(s->book, last.id, &done, &err);
    one = met();
    if (status == DW_OK) break;
    expect(status, DW_NO_MEMORY, err);
  }
  expect_whole(s->book);
}

/* ---- what is kept and told of photos --------------------------------------------------------------------- */

/* A path that memory lacks for is not kept as it was typed: from another folder it would lead nowhere. */
static void test_photo_path(void **state) {
  static dw_read_photo photo;
  shop *s = *state;
  dw_error err;
  bool one = true;
  strcpy(photo.reading.path, ".");
  photo.reading.photo.width = photo.reading.photo.height = 100;
  for (long n = 1; one; n++) {
    int64_t id;
    dw_photo_kept kept;
    snprintf(photo.sha256, sizeof photo.sha256, "%064lx", n);
    expect(dw_book_begin(s->book, &err), DW_OK, err);
    left = n;
    dw_status status = dw_keep_photo(s->book, &photo, &id, &err);
    one = met();
    if (status == DW_OK) {
      expect(dw_photo_get(s->book, id, &kept, &err), DW_OK, err);
      assert_int_equal(kept.path[0], '/');
    } else {
      expect(status, DW_NO_MEMORY, err);
    }
    dw_book_rollback(s->book);
  }
}

static void test_flake_words(void **state) {
  static dw_pattern found;
  shop *s = *state;
  dw_error err;
  bool one = true;
  int64_t pattern = pattern_make(s->book, "creek");
  dw_target target = {.lab = {33, 8, 10},
                      .how = DW_TARGET_PHOTO,
                      .detail = "{\"photos\": [{\"flake\": {\"share\": 0.1, \"lab\": null}}]}"};
  const dw_reading reading = {.shares = {.flake = 0.5}};
  expect(dw_pattern_get(s->book, pattern, &found, &err), DW_OK, err);
  expect(dw_target_set(s->book, found.layer[0].id, &target, &err), DW_OK, err);
  for (long n = 1; one; n++) {
    dw_flake_aim aim;
    left = n;
    dw_status status = dw_flake_compare(s->book, found.layer[0].id, &reading, &aim, &err);
    one = met();
    if (status == DW_OK)
      assert_string_equal(aim.words, "More flake than the target: 50%, not 10%");
    else
      expect(status, DW_NO_MEMORY, err);
  }
}

/* ---- plugins --------------------------------------------------------------------------------------------- */

/* None is left out without a word in the advice. */
static void test_plugins(void **state) {
  static const char *const folder = DW_PLUGINS;
  static dw_plugins found;
  (void)state;
  dw_error err;
  bool one = true;
  size_t all = 0;
  for (long n = 0; one; n++) {
    left = n;
    dw_status status = dw_plugins_find(&folder, 1, 0, &found, &err);
    one = n == 0 || met();
    if (status != DW_OK) continue;
    if (n == 0) all = found.n;
    size_t usable = 0, lost = found.lost.n;
    for (size_t i = 0; i < found.n; i++) usable += found.entry[i].usable, lost += found.entry[i].lost;
    assert_true(usable == all || lost > 0);
  }
  assert_true(all > 0);
}

/* ---- baits ----------------------------------------------------------------------------------------------- */

/* A spindle, its belly lighter. */
static void draw_bait(scene *to) {
  enum { LENGTH = 360, HALF = 40 };
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++) {
      const double u = 2. * (x - W / 2) / LENGTH, v = (y - H / 2) / (HALF * sqrt(fmax(1e-9, 1 - u * u)));
      const float past = (float)fmin(fmax(v / .2 + .5, 0), 1);
      if (u * u < 1 && v * v < 1) pixel(to, x, y, .1f + .35f * past, .07f + .23f * past, .03f + .13f * past);
    }
}

/* A lack of memory must not pass for a thing on the board that is no bait. */
static void test_bait(void **state) {
  (void)state;
  scene drawn;
  dw_error err;
  bool one = true;
  begin(&drawn);
  plain(&drawn, .5f, .5f, .52f);
  draw_bait(&drawn);
  for (long n = 1; one; n++) {
    dw_baits baits = {0};
    dw_arena *arena = dw_arena_new(0);
    left = n;
    dw_status status = dw_baits_find(&drawn.photo, &(dw_bait_rules){0}, drawn.light, arena, &baits, &err);
    one = met();
    if (status == DW_OK)
      assert_true(baits.n == 1 && baits.bait[0].n == 2);
    else
      expect(status, DW_NO_MEMORY, err);
    dw_arena_free(arena);
  }
  end(&drawn);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_numbers), cmocka_unit_test(test_small_numbers),
                                     book_test(test_text),           book_test(test_commit),
                                     book_test(test_undo),           book_test(test_photo_path),
                                     book_test(test_flake_words),    cmocka_unit_test(test_plugins),
                                     cmocka_unit_test(test_bait)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
