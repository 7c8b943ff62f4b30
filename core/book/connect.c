/* A connection to a book's file, and the transactions on it. */
#include "book/file.h"
#include "book/sql.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { BUSY_MS = 5000 };

const char *pt_book_path(const pt_book *book) {
  return book->path;
}

/* What SQLite could only call a failed disk or a matter of permissions. */
static pt_status place_check(const char *path, pt_error *err) {
  char folder[4096];
  struct stat st;
  if (stat(path, &st) == 0 && S_ISDIR(st.st_mode))
    return pt_fail(err, PT_BAD_INPUT, "%s is a folder; name the book's file in it, such as book.db.", path);
  if (stat(path, &st) == 0 && !S_ISREG(st.st_mode))
    return pt_fail(err, PT_BAD_INPUT, "%s is a device or a pipe; a book must be a file.", path);
  if (!pt_copy_text(folder, sizeof folder, path))
    return pt_fail(err, PT_BAD_INPUT, "The book's path is too long: \"%.60s...\".", path);
  char *slash = strrchr(folder, '/');
  if (!slash) return PT_OK;
  slash[slash == folder] = '\0'; /* "/" stays "/" */
  bool found = stat(folder, &st) == 0;
  if (found ? !S_ISDIR(st.st_mode) : errno == ENOENT || errno == ENOTDIR)
    return pt_fail(err, PT_BAD_INPUT,
                   "The folder %s is not there; make it, or name another place for the book.", folder);
  return PT_OK;
}

pt_status pt__book_connect(const char *path, int flags, pt_book **out, pt_error *err) {
  pt_status status = place_check(path, err);
  return status == PT_OK ? pt__book_connect_by(path, path, flags, out, err) : status;
}

pt_status pt__book_connect_by(const char *address, const char *path, int flags, pt_book **out,
                              pt_error *err) {
  pt_book *book = calloc(1, sizeof *book);
  if (!book || !(book->path = strdup(path))) {
    pt_book_close(book);
    return pt_fail_memory(err, "the book");
  }
  int result = sqlite3_open_v2(address, &book->db, flags | SQLITE_OPEN_NOMUTEX, NULL);
  if (result == SQLITE_OK) result = sqlite3_busy_timeout(book->db, BUSY_MS);
  if (result == SQLITE_OK)
    result = sqlite3_exec(
        book->db, "PRAGMA foreign_keys = ON; PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;", NULL,
        NULL, NULL);
  if (result != SQLITE_OK) {
    pt_status status = pt__book_fail(book, result, "opening", err);
    pt_book_close(book);
    return status;
  }
  *out = book;
  return PT_OK;
}

void pt_book_close(pt_book *book) {
  if (!book) return;
  if (book->db) pt_book_rollback(book);
  sqlite3_close(book->db);
  free(book->path);
  free(book);
}

/* Somebody may have put a restored book in place while this one waited for the lock: what is written now
 * would be lost with the file that was set aside. */
static bool file_moved(pt_book *book) {
  int moved = 0;
  int result = sqlite3_file_control(book->db, "main", SQLITE_FCNTL_HAS_MOVED, &moved);
  return result == SQLITE_OK && moved;
}

static pt_status begin(pt_book *book, const char *sql, pt_error *err) {
  int result = sqlite3_exec(book->db, sql, NULL, NULL, NULL);
  if (result != SQLITE_OK) return pt__book_fail(book, result, "starting a change", err);
  book->in_transaction = true;
  if (!file_moved(book)) return PT_OK;
  pt_book_rollback(book);
  return pt_fail(err, PT_LOCKED, "Another book was put in place at %s meanwhile; try again.", book->path);
}

pt_status pt_book_begin(pt_book *book, pt_error *err) {
  return begin(book, "BEGIN IMMEDIATE", err);
}

pt_status pt_book_begin_reading(pt_book *book, pt_error *err) {
  return begin(book, "BEGIN", err);
}

pt_status pt_book_commit(pt_book *book, pt_error *err) {
  int result = sqlite3_exec(book->db, "COMMIT", NULL, NULL, NULL);
  if (result != SQLITE_OK) return pt__book_fail(book, result, "keeping a change", err);
  book->in_transaction = false;
  return PT_OK;
}

void pt_book_rollback(pt_book *book) {
  if (!book->in_transaction) return;
  sqlite3_exec(book->db, "ROLLBACK", NULL, NULL, NULL);
  book->in_transaction = false;
}
