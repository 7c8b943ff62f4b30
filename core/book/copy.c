/* A copy of the book as one file, safe on the disk. */
#include "book/file.h"
#include "book/sql.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

enum { BACKUP_PAGES = 256, BACKUP_TRIES = 200, BACKUP_WAIT_MS = 50 };

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

dw_status dw__sync_path(const char *path, int flags, dw_error *err) {
  int fd = open(path, O_RDONLY | O_CLOEXEC | flags);
  bool done = fd >= 0 && fsync(fd) == 0;
  int why = errno;
  if (fd >= 0) close(fd);
  return done ? DW_OK : dw_fail(err, DW_IO, "%s can't be brought to the disk: %s.", path, strerror(why));
}

dw_status dw__sync_folder_of(const char *path, dw_error *err) {
  char folder[4096];
  if (!dw_copy_text(folder, sizeof folder, path)) return dw_fail(err, DW_USAGE, "The path is too long.");
  char *slash = strrchr(folder, '/');
  if (!slash) return dw__sync_path(".", O_DIRECTORY, err);
  slash[slash == folder] = '\0'; /* "/" stays "/" */
  return dw__sync_path(folder, O_DIRECTORY, err);
}

/* One file only: no write-ahead log beside it. */
static dw_status leave_wal(dw_book *book, dw_error *err) {
  int result = sqlite3_exec(book->db, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL);
  return result == SQLITE_OK ? DW_OK : dw__book_fail(book, result, "copying the book", err);
}

dw_status dw__file_claim(const char *path, dw_error *err) {
  int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
  if (fd >= 0) {
    close(fd);
    return DW_OK;
  }
  if (errno == EEXIST) return dw_fail(err, DW_BAD_INPUT, "%s is already there; give a new name.", path);
  return dw_fail(err, DW_IO, "%s can't be written: %s.", path, strerror(errno));
}

dw_status dw__book_copy(dw_book *book, const char *to, dw_error *err) {
  dw_book *copy = NULL;
  dw_status status = dw__file_claim(to, err);
  if (status != DW_OK) return status;
  status = dw__book_connect(to, SQLITE_OPEN_READWRITE, &copy, err);
  if (status == DW_OK) {
    int result = copy_pages(book->db, copy->db);
    if (result != SQLITE_OK) status = dw__book_fail(copy, result, "copying the book", err);
  }
  if (status == DW_OK) status = leave_wal(copy, err);
  dw_book_close(copy);
  if (status == DW_OK) status = dw__sync_path(to, 0, err);
  if (status == DW_OK) status = dw__sync_folder_of(to, err);
  if (status != DW_OK) unlink(to);
  return status;
}
