#include "book/schema.h"
#include "book/sql.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { BUSY_MS = 5000 };

int pt_book_schema_version(void) {
  return pt__book_step_count;
}

const char *pt_book_path(const pt_book *book) {
  return book->path;
}

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
    int result = mkdir(path, 0700);
    int why = errno;
    if (result != 0 && why != EEXIST) {
      pt_fail(err, PT_IO, "The folder %s for the book can't be made: %s.", path, strerror(why));
      *slash = '/';
      return PT_IO;
    }
    *slash = '/';
  }
  return PT_OK;
}

static int pragma_integer(pt_book *book, const char *sql, int64_t *out) {
  sqlite3_stmt *stmt = NULL;
  int result = sqlite3_prepare_v2(book->db, sql, -1, &stmt, NULL);
  if (result == SQLITE_OK) result = sqlite3_step(stmt);
  if (result == SQLITE_ROW) {
    *out = sqlite3_column_int64(stmt, 0);
    result = SQLITE_OK;
  }
  sqlite3_finalize(stmt);
  return result;
}

pt_status pt__book_connect(const char *path, int flags, pt_book **out, pt_error *err) {
  pt_book *book = calloc(1, sizeof *book);
  if (!book || !(book->path = strdup(path))) {
    pt_book_close(book);
    return pt_fail_memory(err, "the book");
  }
  int result = sqlite3_open_v2(path, &book->db, flags | SQLITE_OPEN_NOMUTEX | SQLITE_OPEN_URI, NULL);
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

/* 0 for an empty file; otherwise it must be a book. */
static pt_status read_version(pt_book *book, int64_t *version, pt_error *err) {
  int64_t application = 0, tables = 0;
  int result = pragma_integer(book, "PRAGMA user_version", version);
  if (result == SQLITE_OK) result = pragma_integer(book, "PRAGMA application_id", &application);
  if (result == SQLITE_OK) result = pragma_integer(book, "SELECT count(*) FROM sqlite_schema", &tables);
  if (result != SQLITE_OK) return pt__book_fail(book, result, "opening", err);
  if (*version == 0 && tables == 0 && application == 0) return PT_OK;
  if (application != PT__BOOK_APPLICATION_ID)
    return pt_fail(err, PT_CORRUPT, "%s is a database, but not a book.", book->path);
  if (*version > pt__book_step_count)
    return pt_fail(err, PT_UNSUPPORTED, "%s was written by a newer Pourtone; this one can't read it safely.",
                   book->path);
  return PT_OK;
}

/* Beside the book, before its first change: the older schema as it was. */
static pt_status keep_older(pt_book *book, int64_t version, pt_error *err) {
  pt_text kept = {0};
  pt_text_add(&kept, "%s.version-%d", book->path, (int)version);
  pt_status status = PT_OK;
  if (kept.failed)
    status = pt_fail_memory(err, "the older book's name");
  else if (access(kept.data, F_OK) != 0)
    status = pt_book_backup(book, kept.data, err);
  pt_text_free(&kept);
  return status;
}

/* All missing steps in one transaction; another process may have been faster, so the version is read inside
 * it. */
static pt_status migrate(pt_book *book, pt_error *err) {
  int64_t version = 0;
  pt_status status = read_version(book, &version, err);
  if (status != PT_OK || version == pt__book_step_count) return status;
  if (version > 0) status = keep_older(book, version, err);
  if (status == PT_OK) status = pt_book_begin(book, err);
  if (status == PT_OK) status = read_version(book, &version, err);
  int result = SQLITE_OK;
  for (int64_t step = version; status == PT_OK && step < pt__book_step_count && result == SQLITE_OK; step++)
    result = sqlite3_exec(book->db, pt__book_steps[step], NULL, NULL, NULL);
  char marks[128];
  snprintf(marks, sizeof marks, "PRAGMA user_version = %d; PRAGMA application_id = %d;", pt__book_step_count,
           PT__BOOK_APPLICATION_ID);
  if (status == PT_OK && result == SQLITE_OK) result = sqlite3_exec(book->db, marks, NULL, NULL, NULL);
  if (status == PT_OK && result != SQLITE_OK)
    status = pt__book_fail(book, result, "bringing it up to date", err);
  if (status == PT_OK) status = pt_book_commit(book, err);
  pt_book_rollback(book);
  return status;
}

static pt_status open_for_writing(const char *path, pt_book **out, pt_error *err) {
  pt_status status = pt__book_connect(path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE, out, err);
  if (status != PT_OK) return status;
  int64_t version;
  status = read_version(*out, &version, err); /* before anything is changed in a file that is no book */
  if (status != PT_OK) return status;
  int result =
      sqlite3_exec((*out)->db, "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL;", NULL, NULL, NULL);
  if (result != SQLITE_OK) return pt__book_fail(*out, result, "opening", err);
  return migrate(*out, err);
}

/* A book on a read-only disk, or in a folder where SQLite can't keep its side files, is read as it lies. */
static pt_status open_as_it_lies(const char *path, pt_book **out, pt_error *err) {
  pt_text uri = {0};
  pt_text_add(&uri, "file:");
  for (const char *p = path; *p; p++)
    pt_text_add(&uri, strchr("?#%", *p) ? "%%%02X" : "%c", (unsigned char)*p);
  pt_text_add(&uri, "?immutable=1");
  pt_status status = uri.failed ? pt_fail_memory(err, "the book's name")
                                : pt__book_connect(uri.data, SQLITE_OPEN_READONLY, out, err);
  pt_text_free(&uri);
  return status;
}

static pt_status open_for_reading(const char *path, pt_book **out, pt_error *err) {
  if (access(path, F_OK) != 0) return pt_fail(err, PT_NOT_FOUND, "There is no book at %s yet.", path);
  int64_t version = 0;
  pt_status status = pt__book_connect(path, SQLITE_OPEN_READONLY, out, err);
  if (status == PT_OK) status = read_version(*out, &version, err);
  if (status == PT_IO) {
    pt_book_close(*out);
    *out = NULL;
    status = open_as_it_lies(path, out, err);
    if (status == PT_OK) status = read_version(*out, &version, err);
  }
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

void pt_book_close(pt_book *book) {
  if (!book) return;
  if (book->db) pt_book_rollback(book);
  sqlite3_close(book->db);
  free(book->path);
  free(book);
}

pt_status pt_book_begin(pt_book *book, pt_error *err) {
  int result = sqlite3_exec(book->db, "BEGIN IMMEDIATE", NULL, NULL, NULL);
  if (result != SQLITE_OK) return pt__book_fail(book, result, "starting a change", err);
  book->in_transaction = true;
  return PT_OK;
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
