/* Opening a book: where it is, made when it is not there, brought up to date. */
#include "book/file.h"
#include "book/schema.h"
#include "book/sql.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { WAL_TRIES = 100, WAL_WAIT_MS = 50 };

dw_status dw_book_default_path(char *out, size_t room, dw_error *err) {
  dw_status status = dw_user_data_path("book.db", out, room, err);
  if (status != DW_NOT_FOUND) return status;
  return dw_fail(err, DW_NOT_FOUND,
                 "There is no home folder to keep the book in; say where with --book FILE.");
}

/* Every folder on the way to the file. */
static dw_status make_folders(char *path, dw_error *err) {
  for (char *slash = strchr(path + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
    *slash = '\0';
    int why = mkdir(path, 0700) == 0 ? 0 : errno;
    if (why && why != EEXIST) dw_fail(err, DW_IO, "The folder %s can't be made: %s.", path, strerror(why));
    *slash = '/';
    if (why && why != EEXIST) return DW_IO;
  }
  return DW_OK;
}

/* Two processes that make the book at the same moment are turned away here without SQLite's own waiting. */
static dw_status set_wal(dw_book *book, dw_error *err) {
  int result = SQLITE_BUSY;
  for (int i = 0; i < WAL_TRIES && result == SQLITE_BUSY; i++) {
    if (i) sqlite3_sleep(WAL_WAIT_MS);
    result = sqlite3_exec(book->db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL);
  }
  if (result == SQLITE_OK) result = sqlite3_exec(book->db, "PRAGMA synchronous = FULL", NULL, NULL, NULL);
  return result == SQLITE_OK ? DW_OK : dw__book_fail(book, result, "opening", err);
}

static dw_status open_for_writing(const char *path, dw_book **out, dw_error *err) {
  dw_status status = dw__book_connect(path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, out, err);
  if (status != DW_OK) return status;
  int64_t version;
  status = dw__book_version(*out, &version, err); /* before anything is changed in a file that is no book */
  if (status == DW_OK) status = set_wal(*out, err);
  return status == DW_OK ? dw__book_migrate(*out, DW__KEEP_OLDER, err) : status;
}

/* Changes that are committed but not yet folded into the file. */
static bool log_waits(const char *path) {
  char log[4096];
  struct stat st;
  int n = snprintf(log, sizeof log, "%s-wal", path);
  return n > 0 && (size_t)n < sizeof log && stat(log, &st) == 0 && st.st_size > 0;
}

/* On a read-only disk or folder SQLite can't keep its side files: the file alone is read as it lies. */
static dw_status open_as_it_lies(const char *path, dw_book **out, dw_error *err) {
  if (log_waits(path))
    return dw_fail(
        err, DW_IO,
        "The book %s has changes waiting in %s-wal and its folder can't be written to; copy both to "
        "a folder of your own.",
        path, path);
  dw_text uri = {0};
  dw_text_add(&uri, "file:%s", dw__book_folder_before(path));
  for (const char *p = path; *p; p++)
    dw_text_add(&uri, strchr("?#%", *p) ? "%%%02X" : "%c", (unsigned char)*p);
  dw_text_add(&uri, "?immutable=1");
  dw_status status =
      uri.failed ? dw_fail_memory(err, "the book's name")
                 : dw__book_connect_by(uri.data, path, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, out, err);
  dw_text_free(&uri);
  return status;
}

static dw_status open_for_reading(const char *path, dw_book **out, dw_error *err) {
  if (access(path, F_OK) != 0) return dw_fail(err, DW_NOT_FOUND, "There is no book at %s yet.", path);
  int64_t version = 0;
  dw_status status = dw__book_connect(path, SQLITE_OPEN_READONLY, out, err);
  if (status == DW_OK) status = dw__book_version(*out, &version, err);
  if (status == DW_IO && access(path, R_OK) == 0) {
    dw_book_close(*out);
    *out = NULL;
    status = open_as_it_lies(path, out, err);
    if (status == DW_OK) status = dw__book_version(*out, &version, err);
  }
  if (status == DW_OK && version == 0) status = dw_fail(err, DW_NOT_FOUND, "The book %s is empty.", path);
  if (status == DW_OK && version < dw__book_step_count)
    status = dw_fail(
        err, DW_UNSUPPORTED,
        "%s was written by an older Dropwise; any command that writes to it brings it up to date.", path);
  return status;
}

dw_status dw_book_open(const char *path, dw_book_mode mode, dw_book **out, dw_error *err) {
  char own[4096];
  *out = NULL;
  dw_status status = DW_OK;
  if (!path) {
    status = dw_book_default_path(own, sizeof own, err);
    if (status == DW_OK && mode == DW_BOOK_WRITE) status = make_folders(own, err);
    if (status != DW_OK) return status;
    path = own;
  }
  status = mode == DW_BOOK_WRITE ? open_for_writing(path, out, err) : open_for_reading(path, out, err);
  if (status != DW_OK) {
    dw_book_close(*out);
    *out = NULL;
  }
  return status;
}
