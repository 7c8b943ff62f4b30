/* Check, backup and restore. */
#include "book/sql.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { FAULTS_MAX = 100, BACKUP_PAGES = 256, BACKUP_TRIES = 200, BACKUP_WAIT_MS = 50 };

/* Each gives one line of text a fault. */
static const char *const own_checks[] = {
    "PRAGMA integrity_check(100)",
    "SELECT 'row ' || rowid || ' of ' || \"table\" || ' refers to a missing ' || parent FROM "
    "pragma_foreign_key_check",
    "SELECT 'the layers of pattern ' || p.name || ' are not numbered without gaps' FROM pattern p JOIN layer "
    "l"
    " ON l.pattern = p.id GROUP BY p.id HAVING max(l.position) <> count(*) - 1",
    "SELECT 'the additions of cup ' || cup || ' are not numbered without gaps' FROM addition GROUP BY cup"
    " HAVING max(position) <> count(*) - 1",
    "SELECT 'reading ' || id || ' has an impossible color' FROM reading WHERE abs(a) > 200 OR abs(b) > 200",
    "SELECT 'target ' || id || ' has an impossible color' FROM target WHERE abs(a) > 200 OR abs(b) > 200",
};

static pt_status run_check(pt_book *book, const char *sql, size_t *faults, pt_text *found, pt_error *err) {
  pt__query query;
  bool row = true;
  pt_status status = pt__query_open(book, sql, &query, err, "");
  while (status == PT_OK && (status = pt__query_next(&query, &row, err)) == PT_OK && row &&
         *faults < FAULTS_MAX) {
    const char *line = pt__query_text(&query, 0);
    if (strcmp(line, "ok") == 0) continue;
    pt_text_add(found, "%s\n", line);
    ++*faults;
  }
  pt__query_close(&query);
  return status;
}

pt_status pt_book_check(pt_book *book, pt_text *found, pt_error *err) {
  size_t faults = 0;
  for (size_t i = 0; i < sizeof own_checks / sizeof *own_checks; i++) {
    pt_status status = run_check(book, own_checks[i], &faults, found, err);
    if (status != PT_OK) return status;
  }
  if (faults == 0) return PT_OK;
  return pt_fail(err, PT_CORRUPT, "The book %s has %zu faults; restore a backup with pourtone book restore.",
                 book->path, faults);
}

static pt_status check_file(const char *path, pt_error *err) {
  pt_book *book = NULL;
  pt_text found = {0};
  pt_status status = pt_book_open(path, PT_BOOK_READ, &book, err);
  if (status == PT_OK) status = pt_book_check(book, &found, err);
  pt_text_free(&found);
  pt_book_close(book);
  return status;
}

/* In steps, so that a writer is never kept waiting for long. */
static int copy_pages(sqlite3 *from, sqlite3 *to) {
  sqlite3_backup *backup = sqlite3_backup_init(to, "main", from, "main");
  if (!backup) return sqlite3_errcode(to);
  int result = SQLITE_OK;
  for (int waits = 0; waits < BACKUP_TRIES;) {
    result = sqlite3_backup_step(backup, BACKUP_PAGES);
    if (result == SQLITE_BUSY || result == SQLITE_LOCKED) {
      waits++;
      sqlite3_sleep(BACKUP_WAIT_MS);
    } else if (result != SQLITE_OK) {
      break;
    }
  }
  sqlite3_backup_finish(backup);
  return result == SQLITE_DONE ? SQLITE_OK : result;
}

static pt_status sync_file(const char *path, pt_error *err) {
  int fd = open(path, O_RDONLY | O_CLOEXEC);
  bool done = fd >= 0 && fsync(fd) == 0;
  if (fd >= 0) close(fd);
  return done ? PT_OK : pt_fail(err, PT_IO, "%s can't be brought to the disk: %s.", path, strerror(errno));
}

/* A copy of book in a new file, one file only (no write-ahead log beside it). */
static pt_status copy_to(pt_book *book, const char *path, pt_error *err) {
  pt_book *copy = NULL;
  pt_status status = pt__book_connect(path, SQLITE_OPEN_READWRITE, &copy, err);
  if (status != PT_OK) return status;
  int result = copy_pages(book->db, copy->db);
  if (result == SQLITE_OK) result = sqlite3_exec(copy->db, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL);
  if (result != SQLITE_OK) status = pt__book_fail(copy, result, "copying the book", err);
  pt_book_close(copy);
  return status == PT_OK ? sync_file(path, err) : status;
}

/* Makes the file, failing when it is there: never over somebody's data. */
static pt_status claim_file(const char *path, pt_error *err) {
  int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
  if (fd >= 0) {
    close(fd);
    return PT_OK;
  }
  if (errno == EEXIST) return pt_fail(err, PT_BAD_INPUT, "%s is already there; give a new name.", path);
  return pt_fail(err, PT_IO, "%s can't be written: %s.", path, strerror(errno));
}

pt_status pt_book_backup(pt_book *book, const char *to, pt_error *err) {
  pt_status status = claim_file(to, err);
  if (status != PT_OK) return status;
  status = copy_to(book, to, err);
  if (status == PT_OK) {
    int64_t newest = 0;
    /* A book of an older schema is kept as it is before migration: only its pages can be checked then. */
    if (pt__book_integer(book, &newest, "", NULL, "PRAGMA user_version", "") == PT_OK &&
        newest == pt_book_schema_version())
      status = check_file(to, err);
  }
  if (status != PT_OK) unlink(to);
  return status;
}

/* Nobody may have the book open while it is exchanged; the lock is held by an exclusive transaction. */
static pt_status lock_whole(const char *path, pt_book **out, pt_error *err) {
  *out = NULL;
  if (access(path, F_OK) != 0) return PT_OK;
  pt_status status = pt__book_connect(path, SQLITE_OPEN_READWRITE, out, err);
  if (status != PT_OK) return status;
  /* Leaving WAL needs that no other connection is there, and folds the log into the file. */
  int result = sqlite3_exec((*out)->db,
                            "PRAGMA locking_mode = EXCLUSIVE; PRAGMA journal_mode = DELETE; BEGIN EXCLUSIVE;",
                            NULL, NULL, NULL);
  if (result == SQLITE_NOTADB || result == SQLITE_CORRUPT)
    return PT_OK; /* damaged: that is what a restore is for */
  return result == SQLITE_OK ? PT_OK : pt__book_fail(*out, result, "restoring", err);
}

static pt_status set_aside(const char *path, char *kept, size_t room, pt_error *err) {
  *kept = '\0';
  if (access(path, F_OK) != 0) return PT_OK;
  char now[24];
  pt__book_now(now);
  for (int i = 0; i < 100; i++) {
    int n = i ? snprintf(kept, room, "%s.before-restore-%s-%d", path, now, i)
              : snprintf(kept, room, "%s.before-restore-%s", path, now);
    if (n < 0 || (size_t)n >= room) return pt_fail(err, PT_USAGE, "The book's path is too long.");
    if (link(path, kept) == 0) return PT_OK;
    if (errno != EEXIST) break;
  }
  return pt_fail(err, PT_IO, "The book %s can't be kept as %s: %s; nothing was changed.", path, kept,
                 strerror(errno));
}

static pt_status copy_backup(const char *from, const char *beside, pt_error *err) {
  pt_book *backup = NULL;
  pt_status status = pt_book_open(from, PT_BOOK_READ, &backup, err);
  if (status == PT_OK) status = claim_file(beside, err);
  if (status == PT_OK) {
    status = copy_to(backup, beside, err);
    if (status == PT_OK) status = check_file(beside, err);
    if (status != PT_OK) unlink(beside);
  }
  pt_book_close(backup);
  return status;
}

pt_status pt_book_restore(const char *from, const char *path, char *kept, size_t room, pt_error *err) {
  pt_text beside = {0};
  pt_book *old = NULL;
  pt_text_add(&beside, "%s.restoring-%d", path, (int)getpid());
  pt_status status = beside.failed ? pt_fail_memory(err, "the book's name") : check_file(from, err);
  if (status == PT_OK) status = copy_backup(from, beside.data, err);
  if (status != PT_OK) goto done;
  status = lock_whole(path, &old, err);
  if (status == PT_OK) status = set_aside(path, kept, room, err);
  if (status == PT_OK && rename(beside.data, path) != 0)
    status =
        pt_fail(err, PT_IO, "%s can't be put in place: %s; the book is as it was.", path, strerror(errno));
  if (status != PT_OK) unlink(beside.data);
done:
  pt_book_close(old);
  pt_text_free(&beside);
  return status;
}
