/* Backup, restore, and damage found. */
#include "care_local.h"

/* ---- backup and restore -------------------------------------------------------------------------------- */

static void test_backup(void **state) {
  shop *s = *state;
  pt_error err;
  char to[128];
  int64_t pattern = pattern_make(s->book, "frog");
  expect(batch_log(s->book, pattern, &err), PT_OK, err);
  snprintf(to, sizeof to, "%s/backup", s->folder);
  expect(pt_book_backup(s->book, to, &err), PT_OK, err);
  assert_int_equal(batches_of(to, pattern), 1);
  expect(pt_book_backup(s->book, to, &err), PT_BAD_INPUT, err); /* never over a file */
  expect(pt_book_backup(s->book, "/no/such/folder/backup", &err), PT_IO, err);
}

static void test_backup_while_writing(void **state) {
  shop *s = *state;
  pt_error err;
  char to[128];
  int64_t pattern = pattern_make(s->book, "frog");
  pid_t child = fork();
  if (child == 0) {
    pt_book *book = NULL;
    if (pt_book_open(s->path, PT_BOOK_WRITE, &book, &err) != PT_OK) _exit(1);
    for (int i = 0; i < 300; i++)
      if (batch_log(book, pattern, &err) != PT_OK) _exit(2);
    _exit(0);
  }
  size_t last = 0;
  for (int i = 0; i < 8; i++) {
    snprintf(to, sizeof to, "%s/backup-%d", s->folder, i);
    expect(pt_book_backup(s->book, to, &err), PT_OK, err);
    size_t n = batches_of(to, pattern);
    assert_true(n >= last);
    last = n;
  }
  assert_int_equal(child_result(child), 0);
}

static void test_restore(void **state) {
  shop *s = *state;
  pt_error err;
  char to[128], kept[256];
  int64_t pattern = pattern_make(s->book, "frog");
  snprintf(to, sizeof to, "%s/backup", s->folder);
  expect(pt_book_backup(s->book, to, &err), PT_OK, err);
  expect(batch_log(s->book, pattern, &err), PT_OK, err);
  expect(pt_book_restore(to, s->path, kept, sizeof kept, &err), PT_LOCKED, err); /* still open here */
  pt_book_close(s->book);
  s->book = NULL;
  expect(pt_book_restore("/no/such/file", s->path, kept, sizeof kept, &err), PT_NOT_FOUND, err);
  expect(pt_book_restore(to, s->path, kept, sizeof kept, &err), PT_OK, err);
  assert_int_equal(batches_of(s->path, pattern), 0);
  assert_int_equal(batches_of(kept, pattern), 1);
  assert_true(file_there(to));
  file_put(to, "nonsense", 8);
  expect(pt_book_restore(to, s->path, kept, sizeof kept, &err), PT_CORRUPT, err);
  assert_int_equal(batches_of(s->path, pattern), 0);
}

/* A book left by a killed process: its newest changes are in the write-ahead log only. */
static void leave_log(shop *s, int64_t pattern) {
  pid_t child = fork();
  if (child == 0) {
    pt_error err;
    pt_book *book = NULL;
    if (pt_book_open(s->path, PT_BOOK_WRITE, &book, &err) != PT_OK) _exit(1);
    for (int i = 0; i < 5; i++)
      if (batch_log(book, pattern, &err) != PT_OK) _exit(2);
    kill(getpid(), SIGKILL);
  }
  child_result(child);
  char log[128];
  snprintf(log, sizeof log, "%s-wal", s->path);
  assert_true(file_there(log));
}

static void test_restore_keeps_log(void **state) {
  shop *s = *state;
  pt_error err;
  char to[128], kept[256];
  int64_t pattern = pattern_make(s->book, "frog");
  snprintf(to, sizeof to, "%s/backup", s->folder);
  expect(pt_book_backup(s->book, to, &err), PT_OK, err);
  pt_book_close(s->book);
  s->book = NULL;
  leave_log(s, pattern);
  expect(pt_book_restore(to, s->path, kept, sizeof kept, &err), PT_OK, err);
  assert_int_equal(batches_of(s->path, pattern), 0);
  assert_int_equal(batches_of(kept, pattern), 5); /* what the log held is in the kept book */
}

/* A damaged book is set aside whole. */
static void test_restore_damaged(void **state) {
  shop *s = *state;
  pt_error err;
  char to[128], kept[256], junk[9000];
  int64_t pattern = pattern_make(s->book, "frog");
  snprintf(to, sizeof to, "%s/backup", s->folder);
  expect(pt_book_backup(s->book, to, &err), PT_OK, err);
  pt_book_close(s->book);
  s->book = NULL;
  memset(junk, 'x', sizeof junk);
  file_put(s->path, junk, sizeof junk);
  expect(pt_book_restore(to, s->path, kept, sizeof kept, &err), PT_OK, err);
  assert_int_equal(batches_of(s->path, pattern), 0);
  char *bytes = NULL;
  size_t n;
  expect(pt_file_read(kept, 1 << 20, &bytes, &n, &err), PT_OK, err);
  assert_int_equal(n, sizeof junk);
  assert_memory_equal(bytes, junk, n);
  free(bytes);
}

/* The log of a book that is gone must never be applied to the restored one. */
static void test_restore_beside_log(void **state) {
  shop *s = *state;
  pt_error err;
  char to[128], kept[256], log[300];
  int64_t pattern = pattern_make(s->book, "frog");
  expect(batch_log(s->book, pattern, &err), PT_OK, err);
  snprintf(to, sizeof to, "%s/backup", s->folder);
  expect(pt_book_backup(s->book, to, &err), PT_OK, err);
  pt_book_close(s->book);
  s->book = NULL;
  leave_log(s, pattern);
  unlink(s->path);
  expect(pt_book_restore(to, s->path, kept, sizeof kept, &err), PT_OK, err);
  assert_int_equal(batches_of(s->path, pattern), 1); /* the log would make them 6 */
  snprintf(log, sizeof log, "%s-wal", kept);
  assert_true(file_there(log));
}

static void test_restore_older(void **state) {
  shop *s = *state;
  pt_error err;
  pt_book *book = NULL;
  char old[128], fresh[128], kept[256];
  snprintf(old, sizeof old, "%s/old", s->folder);
  snprintf(fresh, sizeof fresh, "%s/restored", s->folder);
  make_old(old, 2);
  expect(pt_book_restore(old, fresh, kept, sizeof kept, &err), PT_OK, err);
  assert_string_equal(kept, "");
  expect(pt_book_open(fresh, PT_BOOK_READ, &book, &err), PT_OK, err);
  expect_old_rows(book, 2);
  pt_book_close(book);
  expect(pt_book_open(old, PT_BOOK_READ, &book, &err), PT_UNSUPPORTED,
         err); /* the backup itself is as it was */
}

/* ---- damage -------------------------------------------------------------------------------------------- */

/* Every page overwritten in turn: opening or checking says so in words, or the page was not in use. */
static void test_damage(void **state) {
  shop *s = *state;
  pt_error err;
  char copy[128];
  int64_t pattern = pattern_make(s->book, "frog");
  for (int i = 0; i < 40; i++) expect(batch_log(s->book, pattern, &err), PT_OK, err);
  snprintf(copy, sizeof copy, "%s/copy", s->folder);
  expect(pt_book_backup(s->book, copy, &err), PT_OK, err);
  char *bytes = NULL;
  size_t n, found = 0, pages = 0;
  expect(pt_file_read(copy, 1 << 24, &bytes, &n, &err), PT_OK, err);
  char page[4096];
  memset(page, 0xA5, sizeof page);
  for (size_t at = 0; at < n; at += sizeof page, pages++) {
    file_put(copy, bytes, n);
    int fd = open(copy, O_WRONLY);
    assert_int_equal(pwrite(fd, page, sizeof page, (off_t)at), sizeof page);
    close(fd);
    pt_book *book = NULL;
    pt_text text = {0};
    pt_status status = pt_book_open(copy, PT_BOOK_READ, &book, &err);
    if (status == PT_OK) status = pt_book_check(book, &text, &err);
    found += status == PT_CORRUPT;
    pt_text_free(&text);
    pt_book_close(book);
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
  };
  pt_error err;
  pt_pattern pattern;
  char copy[128];
  int64_t id = pattern_make(s->book, "frog");
  expect(pt_pattern_get(s->book, id, &pattern, &err), PT_OK, err);
  in_change(s->book, pt_target_set(s->book, pattern.layer[0].id, &(pt_target){.lab = {40, 1, 2}}, &err));
  for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
    pt_book *book = NULL;
    pt_text text = {0};
    snprintf(copy, sizeof copy, "%s/copy-%zu", s->folder, i);
    expect(pt_book_backup(s->book, copy, &err), PT_OK, err);
    raw_run(copy, faults[i]);
    expect(pt_book_open(copy, PT_BOOK_READ, &book, &err), PT_OK, err);
    expect(pt_book_check(book, &text, &err), PT_CORRUPT, err);
    assert_true(text.length > 0);
    pt_text_free(&text);
    pt_book_close(book);
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
