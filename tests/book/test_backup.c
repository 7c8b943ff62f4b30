/* Backup, restore, and damage found. */
#include "file_local.h"

/* ---- backup and restore -------------------------------------------------------------------------------- */

static void test_backup(void **state) {
  shop *s = *state;
  dw_error err;
  char to[128];
  int64_t pattern = pattern_make(s->book, "frog");
  expect(batch_log(s->book, pattern, &err), DW_OK, err);
  snprintf(to, sizeof to, "%s/backup", s->folder);
  expect(dw_book_backup(s->book, to, &err), DW_OK, err);
  assert_int_equal(batches_of(to, pattern), 1);
  expect(dw_book_backup(s->book, to, &err), DW_BAD_INPUT, err); /* never over a file */
  expect(dw_book_backup(s->book, "/no/such/folder/backup", &err), DW_IO, err);
}

static void test_backup_while_writing(void **state) {
  shop *s = *state;
  dw_error err;
  char to[128];
  int64_t pattern = pattern_make(s->book, "frog");
  pid_t child = fork();
  if (child == 0) {
    dw_book *book = NULL;
    if (dw_book_open(s->path, DW_BOOK_WRITE, &book, &err) != DW_OK) _exit(1);
    for (int i = 0; i < 300; i++)
      if (batch_log(book, pattern, &err) != DW_OK) _exit(2);
    _exit(0);
  }
  size_t last = 0;
  for (int i = 0; i < 8; i++) {
    snprintf(to, sizeof to, "%s/backup-%d", s->folder, i);
    expect(dw_book_backup(s->book, to, &err), DW_OK, err);
    size_t n = batches_of(to, pattern);
    assert_true(n >= last);
    last = n;
  }
  assert_int_equal(child_result(child), 0);
}

static void test_restore(void **state) {
  shop *s = *state;
  dw_error err;
  char to[128], kept[256];
  int64_t pattern = pattern_make(s->book, "frog");
  snprintf(to, sizeof to, "%s/backup", s->folder);
  expect(dw_book_backup(s->book, to, &err), DW_OK, err);
  expect(batch_log(s->book, pattern, &err), DW_OK, err);
  expect(dw_book_restore(to, s->path, kept, sizeof kept, &err), DW_LOCKED, err); /* still open here */
  dw_book_close(s->book);
  s->book = NULL;
  expect(dw_book_restore("/no/such/file", s->path, kept, sizeof kept, &err), DW_NOT_FOUND, err);
  expect(dw_book_restore(to, s->path, kept, sizeof kept, &err), DW_OK, err);
  assert_int_equal(batches_of(s->path, pattern), 0);
  assert_int_equal(batches_of(kept, pattern), 1);
  assert_true(file_there(to));
  file_put(to, "nonsense", 8);
  expect(dw_book_restore(to, s->path, kept, sizeof kept, &err), DW_CORRUPT, err);
  assert_int_equal(batches_of(s->path, pattern), 0);
}

/* A book left by a killed process: its newest changes are in the write-ahead log only. */
static void leave_log(shop *s, int64_t pattern) {
  pid_t child = fork();
  if (child == 0) {
    dw_error err;
    dw_book *book = NULL;
    if (dw_book_open(s->path, DW_BOOK_WRITE, &book, &err) != DW_OK) _exit(1);
    for (int i = 0; i < 5; i++)
      if (batch_log(book, pattern, &err) != DW_OK) _exit(2);
    kill(getpid(), SIGKILL);
  }
  child_result(child);
  char log[128];
  snprintf(log, sizeof log, "%s-wal", s->path);
  assert_true(file_there(log));
}

static void test_restore_keeps_log(void **state) {
  shop *s = *state;
  dw_error err;
  char to[128], kept[256];
  int64_t pattern = pattern_make(s->book, "frog");
  snprintf(to, sizeof to, "%s/backup", s->folder);
  expect(dw_book_backup(s->book, to, &err), DW_OK, err);
  dw_book_close(s->book);
  s->book = NULL;
  leave_log(s, pattern);
  expect(dw_book_restore(to, s->path, kept, sizeof kept, &err), DW_OK, err);
  assert_int_equal(batches_of(s->path, pattern), 0);
  assert_int_equal(batches_of(kept, pattern), 5); /* what the log held is in the kept book */
}

/* A damaged book is set aside whole. */
static void test_restore_damaged(void **state) {
  shop *s = *state;
  dw_error err;
  char to[128], kept[256], junk[9000];
  int64_t pattern = pattern_make(s->book, "frog");
  snprintf(to, sizeof to, "%s/backup", s->folder);
  expect(dw_book_backup(s->book, to, &err), DW_OK, err);
  dw_book_close(s->book);
  s->book = NULL;
  memset(junk, 'x', sizeof junk);
  file_put(s->path, junk, sizeof junk);
  expect(dw_book_restore(to, s->path, kept, sizeof kept, &err), DW_OK, err);
  assert_int_equal(batches_of(s->path, pattern), 0);
  char *bytes = NULL;
  size_t n;
  expect(dw_file_read(kept, 1 << 20, &bytes, &n, &err), DW_OK, err);
  assert_int_equal(n, sizeof junk);
  assert_memory_equal(bytes, junk, n);
  free(bytes);
}

/* The log of a book that is gone must never be applied to the restored one. */
static void test_restore_beside_log(void **state) {
  shop *s = *state;
  dw_error err;
  char to[128], kept[256], log[300];
  int64_t pattern = pattern_make(s->book, "frog");
  expect(batch_log(s->book, pattern, &err), DW_OK, err);
  snprintf(to, sizeof to, "%s/backup", s->folder);
  expect(dw_book_backup(s->book, to, &err), DW_OK, err);
  dw_book_close(s->book);
  s->book = NULL;
  leave_log(s, pattern);
  unlink(s->path);
  expect(dw_book_restore(to, s->path, kept, sizeof kept, &err), DW_OK, err);
  assert_int_equal(batches_of(s->path, pattern), 1); /* the log would make them 6 */
  snprintf(log, sizeof log, "%s-wal", kept);
  assert_true(file_there(log));
}

static void test_restore_older(void **state) {
  shop *s = *state;
  dw_error err;
  dw_book *book = NULL;
  char old[128], fresh[128], kept[256];
  snprintf(old, sizeof old, "%s/old", s->folder);
  snprintf(fresh, sizeof fresh, "%s/restored", s->folder);
  make_old(old, 2);
  expect(dw_book_restore(old, fresh, kept, sizeof kept, &err), DW_OK, err);
  assert_string_equal(kept, "");
  expect(dw_book_open(fresh, DW_BOOK_READ, &book, &err), DW_OK, err);
  expect_old_rows(book, 2);
  dw_book_close(book);
  expect(dw_book_open(old, DW_BOOK_READ, &book, &err), DW_UNSUPPORTED,
         err); /* the backup itself is as it was */
}

/* ---- damage -------------------------------------------------------------------------------------------- */

/* Every page overwritten in turn: opening or checking says so in words, or the page was not in use. */
static void test_damage(void **state) {
  shop *s = *state;
  dw_error err;
  char copy[128];
  int64_t pattern = pattern_make(s->book, "frog");
  for (int i = 0; i < 40; i++) expect(batch_log(s->book, pattern, &err), DW_OK, err);
  snprintf(copy, sizeof copy, "%s/copy", s->folder);
  expect(dw_book_backup(s->book, copy, &err), DW_OK, err);
  char *bytes = NULL;
  size_t n, found = 0, pages = 0;
  expect(dw_file_read(copy, 1 << 24, &bytes, &n, &err), DW_OK, err);
  char page[4096];
  memset(page, 0xA5, sizeof page);
  for (size_t at = 0; at < n; at += sizeof page, pages++) {
    file_put(copy, bytes, n);
    int fd = open(copy, O_WRONLY);
    assert_int_equal(pwrite(fd, page, sizeof page, (off_t)at), sizeof page);
    close(fd);
    dw_book *book = NULL;
    dw_text text = {0};
    dw_status status = dw_book_open(copy, DW_BOOK_READ, &book, &err);
    if (status == DW_OK) status = dw_book_check(book, &text, &err);
    found += status == DW_CORRUPT;
    dw_text_free(&text);
    dw_book_close(book);
  }
  assert_int_equal(found, pages);
  free(bytes);
}

/* What SQLite lets pass, the book's own checks find. */
static void test_own_checks(void **state) {
  shop *s = *state;
  static const char *const faults[] = {
      "UPDATE layer SET position = 7 WHERE position = 2",
      "UPDATE target SET detail = 'x'",
      "PRAGMA foreign_keys = OFF; UPDATE target SET layer = 99",
      "DELETE FROM layer",
      "UPDATE entry SET numbers = x''",
      "UPDATE entry SET numbers = x'eeef'", /* codes that say nothing */
      "UPDATE entry SET record = 'x'",
      "UPDATE phrase SET record = '{\"made\":'",
  };
  dw_error err;
  dw_pattern pattern;
  char copy[128];
  int64_t id = pattern_make(s->book, "frog");
  expect(dw_pattern_get(s->book, id, &pattern, &err), DW_OK, err);
  in_change(s->book, dw_target_set(s->book, pattern.layer[0].id, &(dw_target){.lab = {40, 1, 2}}, &err));
  for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
    dw_book *book = NULL;
    dw_text text = {0};
    snprintf(copy, sizeof copy, "%s/copy-%zu", s->folder, i);
    expect(dw_book_backup(s->book, copy, &err), DW_OK, err);
    raw_run(copy, faults[i]);
    expect(dw_book_open(copy, DW_BOOK_READ, &book, &err), DW_OK, err);
    expect(dw_book_check(book, &text, &err), DW_CORRUPT, err);
    assert_true(text.length > 0);
    dw_text_free(&text);
    dw_book_close(book);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      book_test(test_backup),          book_test(test_backup_while_writing),
      book_test(test_restore),         book_test(test_restore_keeps_log),
      book_test(test_restore_damaged), book_test(test_restore_beside_log),
      book_test(test_restore_older),   book_test(test_damage),
      book_test(test_own_checks),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
