/* What can go wrong with the file: other files, older and newer books, locks, full disks, backups, restores.
 */
#include "book/schema.h"
#include "book_local.h"

#include <fcntl.h>
#include <grp.h>
#include <signal.h>
#include <sqlite3.h>
#include <sys/mman.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>

static void nap_ms(long ms) {
  nanosleep(&(struct timespec){ms / 1000, (ms % 1000) * 1000000}, NULL);
}

static void file_put(const char *path, const void *bytes, size_t n) {
  FILE *file = fopen(path, "wb");
  assert_non_null(file);
  assert_int_equal(fwrite(bytes, 1, n, file), n);
  fclose(file);
}

static bool file_there(const char *path) {
  return access(path, F_OK) == 0;
}

static void raw_run(const char *path, const char *sql) {
  sqlite3 *db = NULL;
  char *why = NULL;
  assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
  if (sqlite3_exec(db, sql, NULL, NULL, &why) != SQLITE_OK) fail_msg("%s", why);
  sqlite3_close(db);
}

/* What a child may say: its exit code. */
static int child_result(pid_t child) {
  int status = 0;
  assert_int_equal(waitpid(child, &status, 0), child);
  return WIFEXITED(status) ? WEXITSTATUS(status) : 100;
}

static void expect_whole(pt_book *book) {
  pt_error err;
  pt_text found = {0};
  pt_status status = pt_book_check(book, &found, &err);
  if (found.length) print_error("%s", found.data);
  expect(status, PT_OK, err);
  pt_text_free(&found);
}

static size_t batches_of(const char *path, int64_t pattern) {
  pt_error err;
  pt_book *book = NULL;
  pt_batch *list = NULL;
  size_t n = 0;
  expect(pt_book_open(path, PT_BOOK_READ, &book, &err), PT_OK, err);
  expect_whole(book);
  expect(pt_batch_list(book, pattern, &list, &n, &err), PT_OK, err);
  free(list);
  pt_book_close(book);
  return n;
}

/* One batch in a transaction of its own. */
static pt_status batch_log(pt_book *book, int64_t pattern, pt_error *err) {
  int64_t id;
  pt_status status = pt_book_begin(book, err);
  if (status == PT_OK) status = pt_batch_begin(book, pattern, NULL, NULL, &id, err);
  if (status == PT_OK) status = pt_book_commit(book, err);
  pt_book_rollback(book);
  return status;
}

/* ---- other files --------------------------------------------------------------------------------------- */

static void expect_refused(const char *path, pt_status reading, pt_status writing, const char *word) {
  pt_error err;
  pt_book *book = NULL;
  expect(pt_book_open(path, PT_BOOK_READ, &book, &err), reading, err);
  assert_null(book);
  assert_non_null(strstr(err.text, word));
  expect(pt_book_open(path, PT_BOOK_WRITE, &book, &err), writing, err);
  assert_null(book);
}

static void test_other_files(void **state) {
  shop *s = *state;
  pt_error err;
  pt_book *book = NULL;
  char path[96], text[4096];
  snprintf(path, sizeof path, "%s/other", s->folder);
  expect(pt_book_open(path, PT_BOOK_READ, &book, &err), PT_NOT_FOUND, err);
  memset(text, 'x', sizeof text);
  file_put(path, text, sizeof text);
  expect_refused(path, PT_CORRUPT, PT_CORRUPT, "not a book");
  unlink(path);
  raw_run(path, "CREATE TABLE songs (title TEXT)");
  expect_refused(path, PT_CORRUPT, PT_CORRUPT, "not a book");
  unlink(path);
  snprintf(text, sizeof text, "PRAGMA user_version = %d; PRAGMA application_id = %d",
           pt_book_schema_version() + 1, PT__BOOK_APPLICATION_ID);
  raw_run(path, text);
  expect_refused(path, PT_UNSUPPORTED, PT_UNSUPPORTED, "newer");
}

/* ---- older books --------------------------------------------------------------------------------------- */

/* A row or two that each version can hold. */
static const char *const old_rows[] = {
    "INSERT INTO pattern (id, name, created) VALUES (5, 'old one', '2026-01-01T00:00:00Z');"
    "INSERT INTO layer (id, pattern, position, name) VALUES (7, 5, 0, 'back');"
    "INSERT INTO target (layer, l, a, b, how, created) VALUES (7, 40, 10, 20, 'numbers', "
    "'2026-01-01T00:00:00Z');"
    "INSERT INTO tone (id, name, created) VALUES (1, 'claw', '2026-01-01T00:00:00Z');"
    "INSERT INTO tone_color (tone, l, a, b) VALUES (1, 40, 10, 20);",
    "INSERT INTO bottle (id, slug, title, role, drop_ml) VALUES (1, 'orange', 'Orange', 'color', 0.05);"
    "INSERT INTO lot (id, bottle, name, opened) VALUES (1, 1, 'first', '2026-01-01T00:00:00Z');"
    "INSERT INTO chip (id, thickness_mm, backing, l, a, b, added) VALUES (1, 3, 0.04, 20, 1, 1, "
    "'2026-01-01T00:00:00Z');"
    "INSERT INTO chip_part (chip, lot, loading) VALUES (1, 1, 2);",
    "INSERT INTO batch (id, pattern, name, poured) VALUES (3, 5, '1', '2026-01-02T00:00:00Z');"
    "INSERT INTO cup (id, batch, layer, volume_floz, capacity_floz) VALUES (1, 3, 7, 4, 5);"
    "INSERT INTO addition (cup, position, lot, drops, added) VALUES (1, 0, 1, 12, '2026-01-02T00:00:00Z');"
    "INSERT INTO pour (id, cup, additions, thickness_mm, backing, poured) VALUES (1, 1, 1, 10, 0.2, "
    "'2026-01-02T00:00:00Z');"
    "INSERT INTO reading (batch, layer, pour, l, a, b, taken) VALUES (3, 7, 1, 41, 11, 21, "
    "'2026-01-02T00:00:00Z');",
};

static void make_old(const char *path, int version) {
  char marks[96];
  for (int i = 0; i < version; i++) raw_run(path, pt__book_steps[i]);
  for (int i = 0; i < version; i++) raw_run(path, old_rows[i]);
  snprintf(marks, sizeof marks, "PRAGMA user_version = %d; PRAGMA application_id = %d", version,
           PT__BOOK_APPLICATION_ID);
  raw_run(path, marks);
}

/* What the older book held is there, in the newer one. */
static void expect_old_rows(pt_book *book, int version) {
  pt_error err;
  pt_pattern pattern;
  expect_whole(book);
  expect(pt_pattern_find(book, "old one", &pattern, &err), PT_OK, err);
  assert_near(pattern.layer[0].target.b, 20, 0);
  if (version >= 2) {
    pt_book_bottle bottle;
    expect(pt_book_bottle_find(book, "orange", &bottle, &err), PT_OK, err);
    assert_int_equal(bottle.chips, 1);
  }
  if (version >= 3) {
    pt_layer_history history;
    expect(pt_layer_history_load(book, 7, &history, &err), PT_OK, err);
    assert_int_equal(history.n, 1);
    assert_near(history.color[0].lab.L, 41, 0);
    pt_layer_history_free(&history);
  }
}

static void test_migrations(void **state) {
  shop *s = *state;
  pt_error err;
  char path[96], kept[128];
  assert_int_equal(pt_book_schema_version(), (int)(sizeof old_rows / sizeof *old_rows) + 1);
  for (int version = 1; version < pt_book_schema_version(); version++) {
    pt_book *book = NULL;
    snprintf(path, sizeof path, "%s/old-%d", s->folder, version);
    make_old(path, version);
    expect(pt_book_open(path, PT_BOOK_READ, &book, &err), PT_UNSUPPORTED, err);
    expect(pt_book_open(path, PT_BOOK_WRITE, &book, &err), PT_OK, err);
    expect_old_rows(book, version);
    pt_book_close(book);
    snprintf(kept, sizeof kept, "%s.version-%d", path, version);
    assert_true(file_there(kept));
    /* the copy is the older book: it can be brought up to date again */
    expect(pt_book_open(kept, PT_BOOK_WRITE, &book, &err), PT_OK, err);
    expect_old_rows(book, version);
    pt_book_close(book);
  }
}

/* A step that fails leaves the older book as it was. */
static void test_migration_fails_whole(void **state) {
  shop *s = *state;
  pt_error err;
  pt_book *book = NULL;
  char path[96];
  snprintf(path, sizeof path, "%s/odd", s->folder);
  make_old(path, 1);
  raw_run(path, "CREATE TABLE fit (mine TEXT)"); /* in the way of step 2, after three tables */
  assert_int_not_equal(pt_book_open(path, PT_BOOK_WRITE, &book, &err), PT_OK);
  raw_run(path, "DROP TABLE fit");
  expect(pt_book_open(path, PT_BOOK_WRITE, &book, &err), PT_OK, err);
  expect_old_rows(book, 1);
  pt_book_close(book);
}

/* ---- several at once ----------------------------------------------------------------------------------- */

/* Holds the book's lock for ms after telling the parent. */
static pid_t child_holds(const char *path, long ms) {
  int ready[2];
  char byte;
  assert_int_equal(pipe(ready), 0);
  pid_t child = fork();
  if (child == 0) {
    pt_error err;
    pt_book *book = NULL;
    if (pt_book_open(path, PT_BOOK_WRITE, &book, &err) != PT_OK || pt_book_begin(book, &err) != PT_OK)
      _exit(1);
    if (write(ready[1], "x", 1) != 1) _exit(2);
    nap_ms(ms);
    pt_book_close(book);
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
  pt_error err;
  int64_t pattern = pattern_make(s->book, "frog");
  pid_t child = child_holds(s->path, 400);
  expect(batch_log(s->book, pattern, &err), PT_OK, err); /* waited for */
  assert_int_equal(child_result(child), 0);
  child = child_holds(s->path, 7000);
  expect(batch_log(s->book, pattern, &err), PT_LOCKED, err);
  assert_non_null(strstr(err.text, "in use"));
  pt_pattern found;
  expect(pt_pattern_find(s->book, "frog", &found, &err), PT_OK, err); /* reading goes on */
  kill(child, SIGKILL);
  child_result(child);
  expect(batch_log(s->book, pattern, &err), PT_OK, err);
}

static void test_writers_at_once(void **state) {
  enum { WRITERS = 4, EACH = 25 };
  shop *s = *state;
  pt_error err;
  char path[96];
  pid_t child[WRITERS];
  snprintf(path, sizeof path, "%s/fresh", s->folder); /* they make it at the same moment, too */
  for (int w = 0; w < WRITERS; w++) {
    if ((child[w] = fork()) != 0) continue;
    pt_book *book = NULL;
    pt_pattern pattern;
    static const char *const layers[] = {"back"};
    int64_t id;
    if (pt_book_open(path, PT_BOOK_WRITE, &book, &err) != PT_OK) _exit(1);
    if (pt_book_begin(book, &err) != PT_OK) _exit(2);
    if (pt_pattern_find(book, "frog", &pattern, &err) == PT_NOT_FOUND &&
        (pt_pattern_add(book, "frog", "", layers, 1, &id, &err) != PT_OK ||
         pt_pattern_find(book, "frog", &pattern, &err) != PT_OK))
      _exit(3);
    if (pt_book_commit(book, &err) != PT_OK) _exit(4);
    for (int i = 0; i < EACH; i++)
      if (batch_log(book, pattern.id, &err) != PT_OK) _exit(5);
    pt_book_close(book);
    _exit(0);
  }
  for (int w = 0; w < WRITERS; w++) assert_int_equal(child_result(child[w]), 0);
  assert_int_equal(batches_of(path, 1), WRITERS * EACH);
}

/* What is written after the file was exchanged would be lost with the old one. */
static void test_moved(void **state) {
  shop *s = *state;
  pt_error err;
  char away[128];
  int64_t pattern = pattern_make(s->book, "frog");
  snprintf(away, sizeof away, "%s.away", s->path);
  assert_int_equal(rename(s->path, away), 0);
  expect(batch_log(s->book, pattern, &err), PT_LOCKED, err);
}

/* ---- no room, no right to write ------------------------------------------------------------------------ */

/* Logs until the disk says no: exit code 0 when it said so in words; *logged is shared with the parent. */
static void log_until_full(const char *path, int64_t pattern, int *logged) {
  pt_error err;
  pt_book *book = NULL;
  pt_status status = pt_book_open(path, PT_BOOK_WRITE, &book, &err);
  while (status == PT_OK && *logged < 100000) {
    status = batch_log(book, pattern, &err);
    if (status == PT_OK) ++*logged;
  }
  bool worded = status == PT_IO && (strstr(err.text, "disk") || strstr(err.text, "Disk"));
  pt_book_close(book);
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
  pt_book_close(s->book);
  s->book = NULL;
  expect_survives_full(s->path, pattern, 300000);
}

/* A real full disk, where this process may mount a small one. */
static void test_disk_full(void **state) {
  shop *s = *state;
  pt_error err;
  char command[400], path[128];
  snprintf(
      command, sizeof command,
      "mkdir %s.disk && mount -t tmpfs -o size=1500k tmpfs %s.disk 2>/dev/null || (rmdir %s.disk; false)",
      s->folder, s->folder, s->folder);
  if (geteuid() != 0 || system(command) != 0) skip();
  snprintf(path, sizeof path, "%s.disk/book.db", s->folder);
  pt_book *book = NULL;
  pt_status status = pt_book_open(path, PT_BOOK_WRITE, &book, &err);
  int64_t pattern = status == PT_OK ? pattern_make(book, "frog") : 0;
  pt_book_close(book);
  if (pattern) expect_survives_full(path, pattern, 0);
  snprintf(command, sizeof command, "umount %s.disk && rmdir %s.disk", s->folder, s->folder);
  assert_int_equal(system(command), 0);
  assert_true(pattern != 0);
}

/* As a user who may only read: reading works, writing says so. */
static int try_read_only(const char *path) {
  pt_error err;
  pt_book *book = NULL;
  pt_pattern pattern;
  if (geteuid() == 0 && (setgroups(0, NULL) != 0 || setgid(65534) != 0 || setuid(65534) != 0)) return 77;
  if (pt_book_open(path, PT_BOOK_READ, &book, &err) != PT_OK) return 1;
  if (pt_pattern_find(book, "frog", &pattern, &err) != PT_OK) return 2;
  pt_book_close(book);
  pt_status status = pt_book_open(path, PT_BOOK_WRITE, &book, &err);
  if (status == PT_OK) status = batch_log(book, pattern.id, &err);
  pt_book_close(book);
  return status == PT_IO && strstr(err.text, path) ? 0 : 3;
}

static void test_read_only(void **state) {
  shop *s = *state;
  pattern_make(s->book, "frog");
  pt_book_close(s->book);
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
      book_test(test_other_files),
      book_test(test_migrations),
      book_test(test_migration_fails_whole),
      book_test(test_locked),
      book_test(test_writers_at_once),
      book_test(test_moved),
      book_test(test_file_limit),
      book_test(test_disk_full),
      book_test(test_read_only),
      book_test(test_backup),
      book_test(test_backup_while_writing),
      book_test(test_restore),
      book_test(test_restore_keeps_log),
      book_test(test_restore_damaged),
      book_test(test_restore_beside_log),
      book_test(test_restore_older),
      book_test(test_damage),
      book_test(test_own_checks),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
