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

pt_status pt__sync_path(const char *path, int flags, pt_error *err) {
  int fd = open(path, O_RDONLY | O_CLOEXEC | flags);
  bool done = fd >= 0 && fsync(fd) == 0;
  int why = errno;
  if (fd >= 0) close(fd);
  return done ? PT_OK : pt_fail(err, PT_IO, "%s can't be brought to the disk: %s.", path, strerror(why));
}

pt_status pt__sync_folder_of(const char *path, pt_error *err) {
  char folder[4096];
  if (!pt_copy_text(folder, sizeof folder, path)) return pt_fail(err, PT_USAGE, "The path is too long.");
  char *slash = strrchr(folder, '/');
  if (!slash) return pt__sync_path(".", O_DIRECTORY, err);
  slash[slash == folder] = '\0'; /* "/" stays "/" */
  return pt__sync_path(folder, O_DIRECTORY, err);
}

/* One file only: no write-ahead log beside it. */
static pt_status leave_wal(pt_book *book, pt_error *err) {
  int result = sqlite3_exec(book->db, "PRAGMA journal_mode = DELETE", NULL, NULL, NULL);
  return result == SQLITE_OK ? PT_OK : pt__book_fail(book, result, "copying the book", err);
}

pt_status pt__file_claim(const char *path, pt_error *err) {
  int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
  if (fd >= 0) {
    close(fd);
    return PT_OK;
  }
  if (errno == EEXIST) return pt_fail(err, PT_BAD_INPUT, "%s is already there; give a new name.", path);
  return pt_fail(err, PT_IO, "%s can't be written: %s.", path, strerror(errno));
}

pt_status pt__book_copy(pt_book *book, const char *to, pt_error *err) {
  pt_book *copy = NULL;
  pt_status status = pt__file_claim(to, err);
  if (status != PT_OK) return status;
  status = pt__book_connect(to, SQLITE_OPEN_READWRITE, &copy, err);
  if (status == PT_OK) {
    int result = copy_pages(book->db, copy->db);
    if (result != SQLITE_OK) status = pt__book_fail(copy, result, "copying the book", err);
  }
  if (status == PT_OK) status = leave_wal(copy, err);
  pt_book_close(copy);
  if (status == PT_OK) status = pt__sync_path(to, 0, err);
  if (status == PT_OK) status = pt__sync_folder_of(to, err);
  if (status != PT_OK) unlink(to);
  return status;
}
