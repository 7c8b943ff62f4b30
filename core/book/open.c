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

pt_status pt_book_default_path(char *out, size_t room, pt_error *err) {
  const char *data = getenv("XDG_DATA_HOME"), *home = getenv("HOME");
  int n = -1;
  if (data && *data == '/') /* the specification has a relative one ignored */
    n = snprintf(out, room, "%s/pourtone/book.db", data);
  else if (home && *home)
    n = snprintf(out, room, "%s/.local/share/pourtone/book.db", home);
  if (n < 0)
    return pt_fail(err, PT_NOT_FOUND,
                   "There is no home folder to keep the book in; say where with --book FILE.");
  if ((size_t)n >= room) return pt_fail(err, PT_USAGE, "The home folder's path is too long for the book.");
  return PT_OK;
}

/* Every folder on the way to the file. */
static pt_status make_folders(char *path, pt_error *err) {
  for (char *slash = strchr(path + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
    *slash = '\0';
    int why = mkdir(path, 0700) == 0 ? 0 : errno;
    if (why && why != EEXIST) pt_fail(err, PT_IO, "The folder %s can't be made: %s.", path, strerror(why));
    *slash = '/';
    if (why && why != EEXIST) return PT_IO;
  }
  return PT_OK;
}

/* Two processes that make the book at the same moment are turned away here without SQLite's own waiting. */
static pt_status set_wal(pt_book *book, pt_error *err) {
  int result = SQLITE_BUSY;
  for (int i = 0; i < WAL_TRIES && result == SQLITE_BUSY; i++) {
    if (i) sqlite3_sleep(WAL_WAIT_MS);
    result = sqlite3_exec(book->db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL);
  }
  if (result == SQLITE_OK) result = sqlite3_exec(book->db, "PRAGMA synchronous = FULL", NULL, NULL, NULL);
  return result == SQLITE_OK ? PT_OK : pt__book_fail(book, result, "opening", err);
}

static pt_status open_for_writing(const char *path, pt_book **out, pt_error *err) {
  pt_status status = pt__book_connect(path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, out, err);
  if (status != PT_OK) return status;
  int64_t version;
  status = pt__book_version(*out, &version, err); /* before anything is changed in a file that is no book */
  if (status == PT_OK) status = set_wal(*out, err);
  return status == PT_OK ? pt__book_migrate(*out, PT__KEEP_OLDER, err) : status;
}

/* Changes that are committed but not yet folded into the file. */
static bool log_waits(const char *path) {
  char log[4096];
  struct stat st;
  int n = snprintf(log, sizeof log, "%s-wal", path);
  return n > 0 && (size_t)n < sizeof log && stat(log, &st) == 0 && st.st_size > 0;
}

/* On a read-only disk or folder SQLite can't keep its side files: the file alone is read as it lies. */
static pt_status open_as_it_lies(const char *path, pt_book **out, pt_error *err) {
  if (log_waits(path))
    return pt_fail(
        err, PT_IO,
        "The book %s has changes waiting in %s-wal and its folder can't be written to; copy both to "
        "a folder of your own.",
        path, path);
  pt_text uri = {0};
  pt_text_add(&uri, "file:");
  for (const char *p = path; *p; p++)
    pt_text_add(&uri, strchr("?#%", *p) ? "%%%02X" : "%c", (unsigned char)*p);
  pt_text_add(&uri, "?immutable=1");
  pt_status status =
      uri.failed ? pt_fail_memory(err, "the book's name")
                 : pt__book_connect_by(uri.data, path, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, out, err);
  pt_text_free(&uri);
  return status;
}

static pt_status open_for_reading(const char *path, pt_book **out, pt_error *err) {
  if (access(path, F_OK) != 0) return pt_fail(err, PT_NOT_FOUND, "There is no book at %s yet.", path);
  int64_t version = 0;
  pt_status status = pt__book_connect(path, SQLITE_OPEN_READONLY, out, err);
  if (status == PT_OK) status = pt__book_version(*out, &version, err);
  if (status == PT_IO && access(path, R_OK) == 0) {
    pt_book_close(*out);
    *out = NULL;
    status = open_as_it_lies(path, out, err);
    if (status == PT_OK) status = pt__book_version(*out, &version, err);
  }
  if (status == PT_OK && version == 0) status = pt_fail(err, PT_NOT_FOUND, "The book %s is empty.", path);
  if (status == PT_OK && version < pt__book_step_count)
    status = pt_fail(
        err, PT_UNSUPPORTED,
        "%s was written by an older Pourtone; any command that writes to it brings it up to date.", path);
  return status;
}

pt_status pt_book_open(const char *path, pt_book_mode mode, pt_book **out, pt_error *err) {
  char own[4096];
  *out = NULL;
  pt_status status = PT_OK;
  if (!path) {
    status = pt_book_default_path(own, sizeof own, err);
    if (status == PT_OK && mode == PT_BOOK_WRITE) status = make_folders(own, err);
    if (status != PT_OK) return status;
    path = own;
  }
  status = mode == PT_BOOK_WRITE ? open_for_writing(path, out, err) : open_for_reading(path, out, err);
  if (status != PT_OK) {
    pt_book_close(*out);
    *out = NULL;
  }
  return status;
}
