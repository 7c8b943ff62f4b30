/* From an older schema to the newest, in one transaction. */
#include "book/file.h"
#include "book/schema.h"
#include "book/sql.h"

int pt_book_schema_version(void) {
  return pt__book_step_count;
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

/* All three of one moment: another process may just be making the book, and its version read before that
 * beside its tables read after it would look like damage. */
static int read_marks(pt_book *book, int64_t *version, int64_t *application, int64_t *tables) {
  int result = sqlite3_exec(book->db, "SAVEPOINT marks", NULL, NULL, NULL);
  if (result != SQLITE_OK) return result;
  result = pragma_integer(book, "PRAGMA user_version", version);
  if (result == SQLITE_OK) result = pragma_integer(book, "PRAGMA application_id", application);
  if (result == SQLITE_OK) result = pragma_integer(book, "SELECT count(*) FROM sqlite_schema", tables);
  int released = sqlite3_exec(book->db, "RELEASE marks", NULL, NULL, NULL);
  return result == SQLITE_OK ? released : result;
}

pt_status pt__book_version(pt_book *book, int64_t *version, pt_error *err) {
  int64_t application = 0, tables = 0;
  int result = read_marks(book, version, &application, &tables);
  if (result != SQLITE_OK) return pt__book_fail(book, result, "opening", err);
  if (*version == 0 && tables == 0 && application == 0) return PT_OK;
  if (application != PT__BOOK_APPLICATION_ID)
    return pt_fail(err, PT_CORRUPT, "%s is a database, but not a book.", book->path);
  if (*version < 1)
    return pt_fail(err, PT_CORRUPT, "The book %s is damaged: it has no version; restore a backup.",
                   book->path);
  if (*version > pt__book_step_count)
    return pt_fail(err, PT_UNSUPPORTED, "%s was written by a newer Pourtone; this one can't read it safely.",
                   book->path);
  return PT_OK;
}

/* Beside the book, before its first change: the older schema as it was. */
static pt_status keep_older(pt_book *book, int64_t version, pt_error *err) {
  pt_status status = PT_BAD_INPUT;
  for (int i = 0; i < 100 && status == PT_BAD_INPUT; i++) {
    pt_text kept = {0};
    pt_text_add(&kept, i ? "%s.version-%d-%d" : "%s.version-%d", book->path, (int)version, i);
    status = kept.failed ? pt_fail_memory(err, "the older book's name") : pt__book_copy(book, kept.data, err);
    pt_text_free(&kept);
  }
  return status;
}

static pt_status take_steps(pt_book *book, int64_t version, pt_error *err) {
  int result = SQLITE_OK;
  for (int64_t step = version; step < pt__book_step_count && result == SQLITE_OK; step++)
    result = sqlite3_exec(book->db, pt__book_steps[step], NULL, NULL, NULL);
  char marks[128];
  snprintf(marks, sizeof marks, "PRAGMA user_version = %d; PRAGMA application_id = %d;", pt__book_step_count,
           PT__BOOK_APPLICATION_ID);
  if (result == SQLITE_OK) result = sqlite3_exec(book->db, marks, NULL, NULL, NULL);
  return result == SQLITE_OK ? PT_OK : pt__book_fail(book, result, "bringing it up to date", err);
}

pt_status pt__book_migrate(pt_book *book, pt__keep keep, pt_error *err) {
  int64_t version = 0;
  pt_status status = pt__book_version(book, &version, err);
  if (status != PT_OK || version == pt__book_step_count) return status;
  if (version > 0 && keep == PT__KEEP_OLDER) status = keep_older(book, version, err);
  if (status == PT_OK) status = pt_book_begin(book, err);
  /* Another process may have been faster: what counts is the version inside the transaction. */
  if (status == PT_OK) status = pt__book_version(book, &version, err);
  if (status == PT_OK) status = take_steps(book, version, err);
  if (status == PT_OK) status = pt_book_commit(book, err);
  pt_book_rollback(book);
  return status;
}
