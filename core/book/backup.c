/* Backup and restore. */
#include "book/file.h"
#include "book/sql.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* name  for messages */
static dw_status check_file(const char *path, const char *name, dw_error *err) {
  dw_book *book = NULL;
  dw_text found = {0};
  int64_t version;
  dw_status status = dw__book_connect_by(path, name, SQLITE_OPEN_READONLY, &book, err);
  if (status == DW_OK) status = dw__book_version(book, &version, err);
  if (status == DW_OK) status = dw_book_check(book, &found, err);
  dw_text_free(&found);
  dw_book_close(book);
  return status;
}

dw_status dw_book_backup(dw_book *book, const char *to, dw_error *err) {
  dw_text address = {0};
  dw_status status = dw__book_copy(book, to, err);
  if (status != DW_OK) return status;
  dw_text_add(&address, "%s%s", dw__book_folder_before(to), to);
  status = address.failed ? dw_fail_memory(err, "the backup's name") : check_file(address.data, to, err);
  if (status != DW_OK) unlink(to);
  dw_text_free(&address);
  return status;
}

/* ---- restore ------------------------------------------------------------------------------------------- */

/* The backup, brought up to date and checked, beside the place it will take. What is wrong with the copy is wrong
 * with the backup, whose name the person knows. */
static dw_status prepare(const char *from, const char *beside, dw_error *err) {
  dw_book *backup = NULL, *copy = NULL;
  int64_t version = 0;
  if (access(from, F_OK) != 0) return dw_fail(err, DW_NOT_FOUND, "There is no file %s.", from);
  dw_status status = dw__book_connect(from, SQLITE_OPEN_READONLY, &backup, err);
  if (status == DW_OK) status = dw__book_version(backup, &version, err);
  if (status == DW_OK && version == 0) status = dw_fail(err, DW_CORRUPT, "%s is empty, not a backup.", from);
  if (status == DW_OK) status = dw__book_copy(backup, beside, err);
  dw_book_close(backup);
  if (status != DW_OK) return status;
  status = dw__book_connect_by(beside, from, SQLITE_OPEN_READWRITE, &copy, err);
  if (status == DW_OK) status = dw__book_migrate(copy, DW__KEEP_NONE, err);
  dw_book_close(copy);
  if (status == DW_OK) status = check_file(beside, from, err);
  if (status == DW_OK) status = dw__sync_path(beside, 0, err);
  if (status != DW_OK) unlink(beside);
  return status;
}

/* Nobody may have the book open while it is exchanged. Leaving WAL needs that no other connection is there,
 * and folds the log into the file; the exclusive lock is then held until *out is closed.  *out  NULL when
 * there is no book, or one too damaged to be locked */
static dw_status lock_whole(const char *path, dw_book **out, dw_error *err) {
  *out = NULL;
  if (access(path, F_OK) != 0) return DW_OK;
  dw_status status = dw__book_connect(path, SQLITE_OPEN_READWRITE, out, err);
  if (status != DW_OK) return status;
  int result = sqlite3_exec((*out)->db,
                            "PRAGMA locking_mode = EXCLUSIVE; PRAGMA journal_mode = DELETE; BEGIN EXCLUSIVE;",
                            NULL, NULL, NULL);
  if (result == SQLITE_NOTADB || result == SQLITE_CORRUPT) { /* that is what a restore is for */
    dw_book_close(*out);
    *out = NULL;
    return DW_OK;
  }
  return result == SQLITE_OK ? DW_OK : dw__book_fail(*out, result, "restoring", err);
}

/* Files that SQLite keeps beside a book; one left there would be applied to the restored book. */
enum { LOG, SHARED, JOURNAL, SIDE_FILES };
static const char *const side_files[SIDE_FILES] = {[LOG] = "-wal", [SHARED] = "-shm", [JOURNAL] = "-journal"};

static bool side_file(char *out, size_t room, const char *of, size_t i) {
  int n = snprintf(out, room, "%s%s", of, side_files[i]);
  return n > 0 && (size_t)n < room;
}

static bool log_left(const char *path) {
  char log[4096];
  return side_file(log, sizeof log, path, LOG) && access(log, F_OK) == 0;
}

/* The old book under a name that no file has, which it bears besides its own until the new one takes its
 * place. A book of which only the log is left needs the name alone. */
static dw_status keep_old(const char *path, char *kept, size_t room, dw_error *err) {
  char now[DW_TIME_ROOM];
  dw__book_now(now);
  bool there = access(path, F_OK) == 0;
  if (!there && !log_left(path)) return DW_OK;
  for (int i = 0; i < 100; i++) {
    int n = snprintf(kept, room, "%s.before-restore-%s", path, now);
    if (i && n > 0 && (size_t)n < room) n += snprintf(kept + n, room - (size_t)n, "-%d", i);
    if (n < 0 || (size_t)n >= room) {
      *kept = '\0';
      return dw_fail(err, DW_USAGE, "The book's path is too long.");
    }
    if (there ? link(path, kept) == 0 : access(kept, F_OK) != 0 && !log_left(kept)) return DW_OK;
    if (there && errno != EEXIST) break;
  }
  dw_fail(err, DW_IO, "The book %s can't be kept as %s: %s; nothing was changed.", path, kept,
          strerror(errno));
  *kept = '\0'; /* whatever bears that name is not this book */
  return DW_IO;
}

static dw_status move_side_files(const char *path, const char *kept, dw_error *err) {
  char from[4096], to[4096];
  for (size_t i = 0; *kept && i < SIDE_FILES; i++) {
    if (!side_file(from, sizeof from, path, i) || !side_file(to, sizeof to, kept, i))
      return dw_fail(err, DW_USAGE, "The book's path is too long.");
    if (rename(from, to) != 0 && errno != ENOENT)
      return dw_fail(err, DW_IO, "%s can't be set aside: %s.", from, strerror(errno));
  }
  return DW_OK;
}

/* The restore has failed: the book is again what it was, under its own name alone. */
static void take_back(const char *path, char *kept) {
  char from[4096], to[4096];
  if (!*kept) return;
  for (size_t i = 0; i < SIDE_FILES; i++)
    if (side_file(from, sizeof from, kept, i) && side_file(to, sizeof to, path, i)) (void)rename(from, to);
  if (access(path, F_OK) == 0) unlink(kept);
  *kept = '\0';
}

/* What the lock itself kept beside the book went along with it, and is of no use there. */
static void drop_lock_journal(const char *kept) {
  char journal[4096];
  if (*kept && side_file(journal, sizeof journal, kept, JOURNAL)) unlink(journal);
}

dw_status dw_book_restore(const char *from, const char *path, char *kept, size_t room, dw_error *err) {
  dw_text beside = {0};
  dw_book *old = NULL;
  *kept = '\0';
  dw_text_add(&beside, "%s%s.restoring-%d", dw__book_folder_before(path), path, (int)getpid());
  dw_status status = beside.failed ? dw_fail_memory(err, "the book's name") : prepare(from, beside.data, err);
  if (status != DW_OK) goto done;
  status = lock_whole(path, &old, err);
  if (status == DW_OK) status = keep_old(path, kept, room, err);
  if (status == DW_OK) status = move_side_files(path, kept, err);
  if (status == DW_OK && rename(beside.data, path) != 0)
    status =
        dw_fail(err, DW_IO, "%s can't be put in place: %s; the book is as it was.", path, strerror(errno));
  if (status != DW_OK) {
    take_back(path, kept);
    unlink(beside.data);
    goto done;
  }
  if (old) drop_lock_journal(kept);
  if (dw__sync_folder_of(path, err) != DW_OK)
    status = dw_fail(err, DW_IO, "The backup is in place at %s, but may not be after a power cut: %.200s",
                     path, err->text);
done:
  dw_book_close(old);
  dw_text_free(&beside);
  return status;
}
