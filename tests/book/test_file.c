/* What can go wrong with the file: other files, older and newer books, locks, full disks. */
#include "file_local.h"

#include <grp.h>
#include <sys/mman.h>
#include <sys/resource.h>

/* ---- other files --------------------------------------------------------------------------------------- */

static void expect_refused(const char *path, dw_status reading, dw_status writing, const char *word) {
  dw_error err;
  dw_book *book = NULL;
  expect(dw_book_open(path, DW_BOOK_READ, &book, &err), reading, err);
  assert_null(book);
  assert_non_null(strstr(err.text, word));
  expect(dw_book_open(path, DW_BOOK_WRITE, &book, &err), writing, err);
  assert_null(book);
}

static void test_other_files(void **state) {
  shop *s = *state;
  dw_error err;
  dw_book *book = NULL;
  char path[96], text[4096];
  snprintf(path, sizeof path, "%s/other", s->folder);
  expect(dw_book_open(path, DW_BOOK_READ, &book, &err), DW_NOT_FOUND, err);
  memset(text, 'x', sizeof text);
  file_put(path, text, sizeof text);
  expect_refused(path, DW_CORRUPT, DW_CORRUPT, "not a book");
  unlink(path);
  raw_run(path, "CREATE TABLE songs (title TEXT)");
  expect_refused(path, DW_CORRUPT, DW_CORRUPT, "not a book");
  unlink(path);
  snprintf(text, sizeof text, "PRAGMA user_version = %d; PRAGMA application_id = %d",
           dw_book_schema_version() + 1, DW__BOOK_APPLICATION_ID);
  raw_run(path, text);
  expect_refused(path, DW_UNSUPPORTED, DW_UNSUPPORTED, "newer");
}

/* ---- older books -------------------------------------------------------------------------------------- */

static void test_migrations(void **state) {
  shop *s = *state;
  dw_error err;
  char path[96], kept[128];
  assert_int_equal(dw_book_schema_version(), (int)(sizeof old_rows / sizeof *old_rows) + 1);
  for (int version = 1; version < dw_book_schema_version(); version++) {
    dw_book *book = NULL;
    snprintf(path, sizeof path, "%s/old-%d", s->folder, version);
    make_old(path, version);
    expect(dw_book_open(path, DW_BOOK_READ, &book, &err), DW_UNSUPPORTED, err);
    expect(dw_book_open(path, DW_BOOK_WRITE, &book, &err), DW_OK, err);
    expect_old_rows(book, version);
    dw_book_close(book);
    snprintf(kept, sizeof kept, "%s.version-%d", path, version);
    assert_true(file_there(kept));
    /* the copy is the older book: it can be brought up to date again */
    expect(dw_book_open(kept, DW_BOOK_WRITE, &book, &err), DW_OK, err);
    expect_old_rows(book, version);
    dw_book_close(book);
  }
}

/* A step that fails leaves the older book as it was. */
static void test_migration_fails_whole(void **state) {
  shop *s = *state;
  dw_error err;
  dw_book *book = NULL;
  char path[96];
  snprintf(path, sizeof path, "%s/odd", s->folder);
  make_old(path, 1);
  raw_run(path, "CREATE TABLE fit (mine TEXT)"); /* in the way of step 2, after three tables */
  assert_int_not_equal(dw_book_open(path, DW_BOOK_WRITE, &book, &err), DW_OK);
  raw_run(path, "DROP TABLE fit");
  expect(dw_book_open(path, DW_BOOK_WRITE, &book, &err), DW_OK, err);
  expect_old_rows(book, 1);
  dw_book_close(book);
}

/* ---- several at once ----------------------------------------------------------------------------------- */

/* Holds the book's lock for ms after telling the parent. */
static pid_t child_holds(const char *path, long ms) {
  int ready[2];
  char byte;
  assert_int_equal(pipe(ready), 0);
  pid_t child = fork();
  if (child == 0) {
    dw_error err;
    dw_book *book = NULL;
    if (dw_book_open(path, DW_BOOK_WRITE, &book, &err) != DW_OK || dw_book_begin(book, &err) != DW_OK)
      _exit(1);
    if (write(ready[1], "x", 1) != 1) _exit(2);
    nap_ms(ms);
    dw_book_close(book);
    _exit(0);
  }
  assert_true(child > 0);
  close(ready[1]);
  assert_int_equal(read(ready[0], &byte, 1), 1);
  close(ready[0]);
  return child;
}

static void test_locked(void **state) {
  shop *s = *state;
  dw_error err;
  int64_t pattern = pattern_make(s->book, "frog");
  pid_t child = child_holds(s->path, 400);
  expect(batch_log(s->book, pattern, &err), DW_OK, err); /* waited for */
  assert_int_equal(child_result(child), 0);
  child = child_holds(s->path, 7000);
  expect(batch_log(s->book, pattern, &err), DW_LOCKED, err);
  assert_non_null(strstr(err.text, "in use"));
  dw_pattern found;
  expect(dw_pattern_find(s->book, "frog", &found, &err), DW_OK, err); /* reading goes on */
  kill(child, SIGKILL);
  child_result(child);
  expect(batch_log(s->book, pattern, &err), DW_OK, err);
}

static void test_writers_at_once(void **state) {
  enum { WRITERS = 4, EACH = 25 };
  shop *s = *state;
  dw_error err;
  char path[96];
  pid_t child[WRITERS];
  snprintf(path, sizeof path, "%s/fresh", s->folder); /* they make it at the same moment, too */
  for (int w = 0; w < WRITERS; w++) {
    if ((child[w] = fork()) != 0) continue;
    dw_book *book = NULL;
    dw_pattern pattern;
    static const char *const layers[] = {"back"};
    int64_t id;
    if (dw_book_open(path, DW_BOOK_WRITE, &book, &err) != DW_OK) _exit(1);
    if (dw_book_begin(book, &err) != DW_OK) _exit(2);
    if (dw_pattern_find(book, "frog", &pattern, &err) == DW_NOT_FOUND &&
        (dw_pattern_add(book, "frog", "", layers, 1, &id, &err) != DW_OK ||
         dw_pattern_find(book, "frog", &pattern, &err) != DW_OK))
      _exit(3);
    if (dw_book_commit(book, &err) != DW_OK) _exit(4);
    for (int i = 0; i < EACH; i++)
      if (batch_log(book, pattern.id, &err) != DW_OK) _exit(5);
    dw_book_close(book);
    _exit(0);
  }
  for (int w = 0; w < WRITERS; w++) assert_int_equal(child_result(child[w]), 0);
  assert_int_equal(batches_of(path, 1), WRITERS * EACH);
}

/* The one that comes second finds the book unmade, half made or made, and never damaged. */
static void test_makers_at_once(void **state) {
  enum { MAKERS = 8, BOOKS = 12 };
  shop *s = *state;
  for (int b = 0; b < BOOKS; b++) {
    char path[96];
    pid_t child[MAKERS];
    snprintf(path, sizeof path, "%s/made-%d", s->folder, b);
    for (int m = 0; m < MAKERS; m++) {
      if ((child[m] = fork()) != 0) continue;
      dw_error err;
      dw_book *book = NULL;
      dw_status status = dw_book_open(path, DW_BOOK_WRITE, &book, &err);
      if (status != DW_OK) print_error("%s\n", err.text);
      dw_book_close(book);
      _exit(status == DW_OK ? 0 : 1);
    }
    int failed = 0;
    for (int m = 0; m < MAKERS; m++) failed += child_result(child[m]);
    assert_int_equal(failed, 0);
  }
}

/* What is written after the file was exchanged would be lost with the old one. */
static void test_moved(void **state) {
  shop *s = *state;
  dw_error err;
  char away[128];
  int64_t pattern = pattern_make(s->book, "frog");
  snprintf(away, sizeof away, "%s.away", s->path);
  assert_int_equal(rename(s->path, away), 0);
  expect(batch_log(s->book, pattern, &err), DW_LOCKED, err);
}

/* ---- no room, no right to write ------------------------------------------------------------------------ */

/* Logs until the disk says no: exit code 0 when it said so in words; *logged is shared with the parent. */
static void log_until_full(const char *path, int64_t pattern, int *logged) {
  dw_error err;
  dw_book *book = NULL;
  dw_status status = dw_book_open(path, DW_BOOK_WRITE, &book, &err);
  while (status == DW_OK && *logged < 100000) {
    status = batch_log(book, pattern, &err);
    if (status == DW_OK) ++*logged;
  }
  bool worded = status == DW_IO && (strstr(err.text, "disk") || strstr(err.text, "Disk"));
  dw_book_close(book);
  _exit(worded ? 0 : 1);
}

static void expect_survives_full(const char *path, int64_t pattern, long limit_bytes) {
  int *logged = mmap(NULL, sizeof *logged, PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
  assert_ptr_not_equal(logged, MAP_FAILED);
  pid_t child = fork();
  if (child == 0) {
    if (limit_bytes) {
      signal(SIGXFSZ, SIG_IGN);
      setrlimit(RLIMIT_FSIZE, &(struct rlimit){(rlim_t)limit_bytes, (rlim_t)limit_bytes});
    }
    log_until_full(path, pattern, logged);
  }
  assert_int_equal(child_result(child), 0);
  assert_true(*logged > 0);
  assert_int_equal(batches_of(path, pattern), *logged);
  munmap(logged, sizeof *logged);
}

static void test_file_limit(void **state) {
  shop *s = *state;
  int64_t pattern = pattern_make(s->book, "frog");
  dw_book_close(s->book);
  s->book = NULL;
  expect_survives_full(s->path, pattern, 300000);
}

/* A real full disk, where this process may mount a small one. */
static void test_disk_full(void **state) {
  shop *s = *state;
  dw_error err;
  char command[400], path[128];
  snprintf(
      command, sizeof command,
      "mkdir %s.disk && mount -t tmpfs -o size=1500k tmpfs %s.disk 2>/dev/null || (rmdir %s.disk; false)",
      s->folder, s->folder, s->folder);
  if (geteuid() != 0 || system(command) != 0) skip();
  snprintf(path, sizeof path, "%s.disk/book.db", s->folder);
  dw_book *book = NULL;
  dw_status status = dw_book_open(path, DW_BOOK_WRITE, &book, &err);
  int64_t pattern = status == DW_OK ? pattern_make(book, "frog") : 0;
  dw_book_close(book);
  if (pattern) expect_survives_full(path, pattern, 0);
  snprintf(command, sizeof command, "umount %s.disk && rmdir %s.disk", s->folder, s->folder);
  assert_int_equal(system(command), 0);
  assert_true(pattern != 0);
}

/* As a user who may only read: reading works, writing says so. */
static int try_read_only(const char *path) {
  dw_error err;
  dw_book *book = NULL;
  dw_pattern pattern;
  if (geteuid() == 0 && (setgroups(0, NULL) != 0 || setgid(65534) != 0 || setuid(65534) != 0)) return 77;
  if (dw_book_open(path, DW_BOOK_READ, &book, &err) != DW_OK) return 1;
  if (dw_pattern_find(book, "frog", &pattern, &err) != DW_OK) return 2;
  dw_book_close(book);
  dw_status status = dw_book_open(path, DW_BOOK_WRITE, &book, &err);
  if (status == DW_OK) status = batch_log(book, pattern.id, &err);
  dw_book_close(book);
  return status == DW_IO && strstr(err.text, path) ? 0 : 3;
}

static void test_read_only(void **state) {
  shop *s = *state;
  pattern_make(s->book, "frog");
  dw_book_close(s->book);
  s->book = NULL;
  chmod(s->path, 0444);
  chmod(s->folder, 0555);
  pid_t child = fork();
  if (child == 0) _exit(try_read_only(s->path));
  int result = child_result(child);
  chmod(s->folder, 0700);
  if (result == 77) skip();
  assert_int_equal(result, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      book_test(test_other_files), book_test(test_migrations),      book_test(test_migration_fails_whole),
      book_test(test_locked),      book_test(test_writers_at_once), book_test(test_makers_at_once),
      book_test(test_moved),       book_test(test_file_limit),      book_test(test_disk_full),
      book_test(test_read_only),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
