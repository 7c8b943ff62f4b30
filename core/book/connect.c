/* A connection to a book's file, and the transactions on it. */
#include "book/entries.h"
#include "book/file.h"
#include "book/sql.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { BUSY_MS = 5000 };
/* Steps of SQLite's machine: 100 million for any statement, and 50 for each byte of the file. */
enum { WORK_STEP = 100000, WORK_MIN = 1000, WORK_PER_BYTE = 50 };

const char *dw_book_path(const dw_book *book) {
  return book->path;
}

/* What SQLite could only call a failed disk or a matter of permissions. */
static dw_status place_check(const char *path, dw_error *err) {
  char folder[4096];
  struct stat st;
  if (*path == '\0')
    return dw_fail(err, DW_BAD_INPUT,
                   "The book's file has no name; name one, such as book.db (is a variable of the shell not "
                   "set?).");
  if (stat(path, &st) == 0 && S_ISDIR(st.st_mode))
    return dw_fail(err, DW_BAD_INPUT, "%s is a folder; name the book's file in it, such as book.db.", path);
  if (stat(path, &st) == 0 && !S_ISREG(st.st_mode))
    return dw_fail(err, DW_BAD_INPUT, "%s is a device or a pipe; a book must be a file.", path);
  if (!dw_copy_text(folder, sizeof folder, path))
    return dw_fail(err, DW_BAD_INPUT, "The book's path is too long: \"%.60s...\".", path);
  char *slash = strrchr(folder, '/');
  if (!slash) return DW_OK;
  slash[slash == folder] = '\0'; /* "/" stays "/" */
  bool found = stat(folder, &st) == 0;
  if (found ? !S_ISDIR(st.st_mode) : errno == ENOENT || errno == ENOTDIR)
    return dw_fail(err, DW_BAD_INPUT,
                   "The folder %s is not there; make it, or name another place for the book.", folder);
  return DW_OK;
}

const char *dw__book_folder_before(const char *path) {
  return *path == '/' ? "" : "./";
}

dw_status dw__book_connect(const char *path, int flags, dw_book **out, dw_error *err) {
  dw_text address = {0};
  dw_status status = place_check(path, err);
  if (status != DW_OK) return status;
  dw_text_add(&address, "%s%s", dw__book_folder_before(path), path);
  status = address.failed ? dw_fail_memory(err, "the book's name")
                          : dw__book_connect_by(address.data, path, flags, out, err);
  dw_text_free(&address);
  return status;
}

/* Of the book, and of what a transaction has written beside it so far. */
static double file_bytes(const dw_book *book) {
  struct stat st;
  dw_text beside = {0};
  double bytes = stat(book->path, &st) == 0 ? (double)st.st_size : 0;
  dw_text_add(&beside, "%s-wal", book->path);
  if (!beside.failed && stat(beside.data, &st) == 0) bytes += (double)st.st_size;
  dw_text_free(&beside);
  return bytes;
}

/* A whole book of that size has answered long before; only one whose pages lead in circles asks for more. */
static int goes_on(void *context) {
  dw_book *book = context;
  if (++book->worked < WORK_MIN) return 0;
  double bytes = file_bytes(book);
  return (double)book->worked * WORK_STEP > WORK_MIN * (double)WORK_STEP + WORK_PER_BYTE * bytes;
}

/* What others may have put into the file is not run. */
static int make_wary(dw_book *book) {
  static const struct {
    int what, on;
  } how[] = {{SQLITE_DBCONFIG_DEFENSIVE, 1},
             {SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0},
             {SQLITE_DBCONFIG_ENABLE_TRIGGER, 0}};
  int result = SQLITE_OK;
  for (size_t i = 0; i < sizeof how / sizeof *how && result == SQLITE_OK; i++)
    result = sqlite3_db_config(book->db, how[i].what, how[i].on, NULL);
  sqlite3_progress_handler(book->db, WORK_STEP, goes_on, book);
  return result;
}

dw_status dw__book_connect_by(const char *address, const char *path, int flags, dw_book **out,
                              dw_error *err) {
  dw_book *book = calloc(1, sizeof *book);
  if (!book || !(book->path = strdup(path))) {
    dw_book_close(book);
    return dw_fail_memory(err, "the book");
  }
  int result = sqlite3_open_v2(address, &book->db, flags | SQLITE_OPEN_NOMUTEX, NULL);
  if (result == SQLITE_OK) result = sqlite3_busy_timeout(book->db, BUSY_MS);
  if (result == SQLITE_OK) result = make_wary(book);
  if (result == SQLITE_OK) result = dw__entries_connect(book->db);
  if (result == SQLITE_OK)
    result =
        sqlite3_exec(book->db, "PRAGMA foreign_keys = ON; PRAGMA cell_size_check = ON;", NULL, NULL, NULL);
  if (result != SQLITE_OK) {
    dw_status status = dw__book_fail(book, result, "opening", err);
    dw_book_close(book);
    return status;
  }
  *out = book;
  return DW_OK;
}

void dw_book_close(dw_book *book) {
  if (!book) return;
  if (book->db) dw_book_rollback(book);
  sqlite3_close(book->db);
  dw__fitted_free(&book->fitted);
  free(book->path);
  free(book);
}

/* Somebody may have put a restored book in place while this one waited for the lock: what is written now
 * would be lost with the file that was set aside. */
static bool file_moved(dw_book *book) {
  int moved = 0;
  int result = sqlite3_file_control(book->db, "main", SQLITE_FCNTL_HAS_MOVED, &moved);
  return result == SQLITE_OK && moved;
}

static dw_status begin(dw_book *book, const char *sql, dw_error *err) {
  int result = sqlite3_exec(book->db, sql, NULL, NULL, NULL);
  if (result != SQLITE_OK) return dw__book_fail(book, result, "starting a change", err);
  book->in_transaction = true;
  if (!file_moved(book)) return DW_OK;
  dw_book_rollback(book);
  return dw_fail(err, DW_LOCKED, "Another book was put in place at %s meanwhile; try again.", book->path);
}

static dw_status set_actions(dw_book *book, dw__actions actions, dw_error *err) {
  bool off = actions == DW__ACTIONS_OFF;
  if (off == book->actions_off) return DW_OK;
  int result = sqlite3_exec(book->db, off ? "PRAGMA foreign_keys = OFF" : "PRAGMA foreign_keys = ON", NULL,
                            NULL, NULL);
  if (result != SQLITE_OK) return dw__book_fail(book, result, "starting a change", err);
  book->actions_off = off;
  return DW_OK;
}

dw_status dw__book_begin_bare(dw_book *book, dw__actions actions, dw_error *err) {
  dw_status status = set_actions(book, actions, err);
  return status == DW_OK ? begin(book, "BEGIN IMMEDIATE", err) : status;
}

dw_status dw_book_begin_aside(dw_book *book, dw_error *err) {
  return dw__book_begin_bare(book, DW__ACTIONS_ON, err);
}

dw_status dw_book_begin(dw_book *book, dw_error *err) {
  dw_status status = dw__book_begin_bare(book, DW__ACTIONS_ON, err);
  if (status == DW_OK) status = dw__journal_begin(book, err);
  if (status != DW_OK) dw_book_rollback(book);
  return status;
}

dw_status dw_book_begin_reading(dw_book *book, dw_error *err) {
  dw_status status = set_actions(book, DW__ACTIONS_ON, err);
  return status == DW_OK ? begin(book, "BEGIN", err) : status;
}

dw_status dw_book_commit(dw_book *book, dw_error *err) {
  dw_status status = dw__book_unread(book, err);
  if (status == DW_OK) status = dw__journal_keep(book, err);
  if (status != DW_OK) return status;
  int result = sqlite3_exec(book->db, "COMMIT", NULL, NULL, NULL);
  if ((result & 0xff) == SQLITE_IOERR) /* what reached the disk before it failed may come back with the log */
    return dw_fail(
        err, DW_IO,
        "The disk failed while a change was kept in %s: look whether it is there before you enter it "
        "again.",
        book->path);
  if (result != SQLITE_OK) return dw__book_fail(book, result, "keeping a change", err);
  book->in_transaction = false;
  dw__journal_end(book);
  return DW_OK;
}

void dw_book_rollback(dw_book *book) {
  dw__journal_end(book);
  if (!book->in_transaction) return;
  sqlite3_exec(book->db, "ROLLBACK", NULL, NULL, NULL);
  book->in_transaction = false;
}
