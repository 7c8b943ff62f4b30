/* Books that others made to do harm, failed migrations, and memory that runs out: refused in words, and
 * nothing lost. */
#include "file_local.h"

#include "book/expected.h"
#include "book/sql.h"

#include <stdlib.h>
#include <string.h>

/* ---- another's schema ---------------------------------------------------------------------------------- */

/* What is put into the file, and the name that the refusal gives. */
static const struct {
  const char *sql, *named;
} strange[] = {
    {"CREATE TRIGGER sweep AFTER INSERT ON batch BEGIN DELETE FROM reading; END", "trigger \"sweep\""},
    {"CREATE TRIGGER sweep AFTER UPDATE ON clock BEGIN DELETE FROM reading; END", "trigger \"sweep\""},
    {"CREATE VIEW endless AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i FROM n",
     "view \"endless\""},
    {"DROP VIEW reading_now; CREATE VIEW reading_now AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i "
     "+ 1 FROM n)"
     " SELECT r.* FROM reading r JOIN n",
     "view \"reading_now\""},
    {"CREATE TABLE mine (x)", "table \"mine\""},
    {"ALTER TABLE batch ADD COLUMN mine TEXT DEFAULT 'x'", "table \"batch\""},
    {"DROP INDEX reading_of_layer", "index \"reading_of_layer\""},
    {"DROP INDEX reading_of_layer; CREATE INDEX reading_of_layer ON reading (layer) WHERE bait > 5",
     "index \"reading_of_layer\""},
    {"CREATE INDEX slow ON batch (abs(id))", "index \"slow\""},
};
enum { STRANGE = sizeof strange / sizeof *strange };

static void expect_strange(const char *path, dw_book_mode mode, const char *named) {
  dw_error err;
  dw_book *book = NULL;
  expect(dw_book_open(path, mode, &book, &err), DW_CORRUPT, err);
  assert_null(book);
  if (!strstr(err.text, named)) fail_msg("%s instead of %s", err.text, named);
}

static void test_strange_schema(void **state) {
  shop *s = *state;
  dw_error err;
  char path[128], kept[256];
  int64_t pattern = pattern_make(s->book, "frog");
  expect(batch_log(s->book, pattern, &err), DW_OK, err);
  for (size_t i = 0; i < STRANGE; i++) {
    snprintf(path, sizeof path, "%s/strange-%zu", s->folder, i);
    expect(dw_book_backup(s->book, path, &err), DW_OK, err);
    raw_run(path, strange[i].sql);
    expect_strange(path, DW_BOOK_READ, strange[i].named);
    expect_strange(path, DW_BOOK_WRITE, strange[i].named);
  }
  dw_book_close(s->book);
  s->book = NULL;
  for (size_t i = 0; i < STRANGE; i++) { /* as a backup, it takes no book's place */
    snprintf(path, sizeof path, "%s/strange-%zu", s->folder, i);
    expect(dw_book_restore(path, s->path, kept, sizeof kept, &err), DW_CORRUPT, err);
    assert_non_null(strstr(err.text, strange[i].named));
    assert_int_equal(batches_of(s->path, pattern), 1);
  }
}

/* Before it is brought up to date: no step runs over another's trigger, and no copy is left. */
static void test_strange_older(void **state) {
  shop *s = *state;
  for (int version = 1; version < dw_book_schema_version(); version++) {
    char path[128], copy[160];
    snprintf(path, sizeof path, "%s/old-%d", s->folder, version);
    make_old(path, version);
    raw_run(path, "CREATE TRIGGER sweep AFTER INSERT ON pattern BEGIN DELETE FROM target; END");
    expect_strange(path, DW_BOOK_WRITE, "trigger \"sweep\"");
    snprintf(copy, sizeof copy, "%s.version-%d", path, version);
    assert_false(file_there(copy));
  }
}

/* What other programs may do: statistics for the planner. */
static void test_analyzed(void **state) {
  shop *s = *state;
  dw_error err;
  pattern_make(s->book, "frog");
  dw_book_close(s->book);
  raw_run(s->path, "ANALYZE");
  expect(dw_book_open(s->path, DW_BOOK_WRITE, &s->book, &err), DW_OK, err);
  expect_whole(s->book);
}

static void test_digest(void **state) {
  shop *s = *state;
  dw_error err;
  char digest[DW_SHA256_ROOM];
  expect(dw__schema_digest(s->book, digest, &err), DW_OK, err);
  assert_string_equal(digest, dw__book_digest);
}

/* ---- work without an end ------------------------------------------------------------------------------- */

static void test_endless(void **state) {
  shop *s = *state;
  dw_error err;
  int64_t n;
  expect(dw__book_integer(
             s->book, &n, "", &err,
             "WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT count(*) FROM n", ""),
         DW_CORRUPT, err);
  assert_non_null(strstr(err.text, "no end"));
  pattern_make(s->book, "frog"); /* and the book goes on */
  expect_whole(s->book);
}

/* ---- a migration that fails ---------------------------------------------------------------------------- */

static void test_failed_migration_leaves_no_copy(void **state) {
  shop *s = *state;
  dw_error err;
  dw_book *book = NULL;
  char path[128], copy[160], second[160];
  snprintf(path, sizeof path, "%s/old", s->folder);
  snprintf(copy, sizeof copy, "%s.version-5", path);
  snprintf(second, sizeof second, "%s.version-5-1", path);
  make_old(path, 5);
  raw_run(path, "UPDATE work SET cups = 'x'"); /* no step can make rows of these */
  for (int i = 0; i < 3; i++) {
    expect(dw_book_open(path, DW_BOOK_WRITE, &book, &err), DW_CORRUPT, err);
    assert_false(file_there(copy));
  }
  file_put(copy, "mine", 4); /* somebody's file of that name is not touched */
  expect(dw_book_open(path, DW_BOOK_WRITE, &book, &err), DW_CORRUPT, err);
  assert_true(file_there(copy));
  assert_false(file_there(second));
  raw_run(path, "UPDATE work SET cups = '[1]'");
  expect(dw_book_open(path, DW_BOOK_WRITE, &book, &err), DW_OK, err);
  expect_old_rows(book, 5);
  dw_book_close(book);
  assert_true(file_there(second));
}

/* ---- memory runs out ----------------------------------------------------------------------------------- */

static sqlite3_mem_methods usual;
static long until_failure = -1; /* allocations; -1: none fails */
static bool fails_on;           /* all that come behind it, too */

static bool fails(void) {
  if (until_failure < 0) return false;
  if (until_failure > 0) return --until_failure < 0;
  if (!fails_on) until_failure = -1;
  return true;
}

static void *failing_malloc(int n) {
  return fails() ? NULL : usual.xMalloc(n);
}

static void *failing_realloc(void *old, int n) {
  return fails() ? NULL : usual.xRealloc(old, n);
}

static void watch_allocations(void) {
  assert_int_equal(sqlite3_config(SQLITE_CONFIG_GETMALLOC, &usual), SQLITE_OK);
  sqlite3_mem_methods failing = usual;
  failing.xMalloc = failing_malloc;
  failing.xRealloc = failing_realloc;
  assert_int_equal(sqlite3_config(SQLITE_CONFIG_MALLOC, &failing), SQLITE_OK);
}

/* The first 300 allocations of a check and every 7th behind them fail in turn, each alone or with all behind it: a whole book is never called faulty. */
static void check_with_failures(dw_book *book, bool on) {
  dw_error err;
  long failed = 0;
  for (long n = 0;; n += n < 300 ? 1 : 7) {
    dw_text found = {0};
    fails_on = on;
    until_failure = n;
    dw_status status = dw_book_check(book, &found, &err);
    bool met = until_failure <= 0;
    until_failure = -1;
    if (status == DW_CORRUPT) fail_msg("allocation %ld: %s%s", n, err.text, found.data ? found.data : "");
    assert_true(status == DW_OK || status == DW_NO_MEMORY);
    failed += status != DW_OK;
    dw_text_free(&found);
    if (!met) break;
  }
  assert_true(failed > 50);
  expect_whole(book);
}

static void test_check_without_memory(void **state) {
  shop *s = *state;
  dw_error err;
  int64_t pattern = pattern_make(s->book, "frog");
  for (int i = 0; i < 20; i++) expect(batch_log(s->book, pattern, &err), DW_OK, err);
  check_with_failures(s->book, false);
  check_with_failures(s->book, true);
}

int main(void) {
  watch_allocations();
  const struct CMUnitTest tests[] = {
      book_test(test_strange_schema),
      book_test(test_strange_older),
      book_test(test_analyzed),
      book_test(test_digest),
      book_test(test_endless),
      book_test(test_failed_migration_leaves_no_copy),
      book_test(test_check_without_memory),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
