/* From an older schema to the newest, in one transaction. */
#include "book/entries.h"
#include "book/expected.h"
#include "book/file.h"
#include "book/schema.h"
#include "book/sql.h"
#include "book/works.h"

#include <unistd.h>

int dw_book_schema_version(void) {
  return dw__book_step_count;
}

static int pragma_integer(dw_book *book, const char *sql, int64_t *out) {
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

static int read_marks(dw_book *book, int64_t *version, int64_t *application, int64_t *tables) {
  int result = pragma_integer(book, "PRAGMA user_version", version);
  if (result == SQLITE_OK) result = pragma_integer(book, "PRAGMA application_id", application);
  if (result == SQLITE_OK) result = pragma_integer(book, "SELECT count(*) FROM sqlite_schema", tables);
  return result;
}

static dw_status judge_marks(dw_book *book, int64_t version, int64_t application, int64_t tables,
                             dw_error *err) {
  if (version == 0 && tables == 0 && application == 0) return DW_OK;
  if (application != DW__BOOK_APPLICATION_ID)
    return dw_fail(err, DW_CORRUPT, "%s is a database, but not a book.", book->path);
  if (version < 1)
    return dw_fail(err, DW_CORRUPT, "The book %s is damaged: it has no version; restore a backup.",
                   book->path);
  if (version > dw__book_step_count)
    return dw_fail(err, DW_UNSUPPORTED, "%s was written by a newer Dropwise; this one can't read it safely.",
                   book->path);
  if (version == book->checked_version) return DW_OK;
  dw_status status = dw__schema_check(book, version, err);
  if (status == DW_OK) book->checked_version = version;
  return status;
}

/* What SQLite says of a file that it can't make sense of. */
static dw_status unreadable(const dw_book *book, int result, dw_error *err) {
  if ((result & 0xff) != SQLITE_ERROR) return dw__book_fail(book, result, "opening", err);
  return dw_fail(err, DW_CORRUPT,
                 "The book %s can't be read (%s); restore a backup with dropwise book restore.", book->path,
                 sqlite3_errmsg(book->db));
}

/* All of one moment: another process may just be making the book, and its version read before that beside its
 * tables read after it would look like damage. */
dw_status dw__book_version(dw_book *book, int64_t *version, dw_error *err) {
  int64_t application = 0, tables = 0;
  int result = sqlite3_exec(book->db, "SAVEPOINT marks", NULL, NULL, NULL);
  if (result != SQLITE_OK) return dw__book_fail(book, result, "opening", err);
  result = read_marks(book, version, &application, &tables);
  dw_status status = result == SQLITE_OK ? judge_marks(book, *version, application, tables, err)
                                         : unreadable(book, result, err);
  result = sqlite3_exec(book->db, "RELEASE marks", NULL, NULL, NULL);
  if (status != DW_OK || result == SQLITE_OK) return status;
  return dw__book_fail(book, result, "opening", err);
}

/* Beside the book, before its first change: the older schema as it was.  kept  its name */
static dw_status keep_older(dw_book *book, int64_t version, dw_text *kept, dw_error *err) {
  dw_status status = DW_BAD_INPUT;
  for (int i = 0; i < 100 && status == DW_BAD_INPUT; i++) {
    dw_text_free(kept);
    dw_text_add(kept, i ? "%s.version-%d-%d" : "%s.version-%d", book->path, (int)version, i);
    status =
        kept->failed ? dw_fail_memory(err, "the older book's name") : dw__book_copy(book, kept->data, err);
  }
  if (status != DW_OK) dw_text_free(kept); /* whatever bears that name is not this copy */
  return status;
}

static dw_status take_steps(dw_book *book, int64_t version, dw_error *err) {
  int result = SQLITE_OK;
  for (int64_t step = version; step < dw__book_step_count && result == SQLITE_OK; step++) {
    if (step + 1 == DW__BOOK_LEFTOVERS_STEP) continue;
    book->worked = 0;
    result = sqlite3_exec(book->db, dw__book_steps[step], NULL, NULL, NULL);
  }
  char marks[128];
  snprintf(marks, sizeof marks, "PRAGMA user_version = %d; PRAGMA application_id = %d;", dw__book_step_count,
           DW__BOOK_APPLICATION_ID);
  if (result == SQLITE_OK) result = sqlite3_exec(book->db, marks, NULL, NULL, NULL);
  return result == SQLITE_OK ? DW_OK : dw__book_fail(book, result, "bringing it up to date", err);
}

/* Behind the steps, since it writes as the newest schema has it. */
static dw_status move_leftovers(dw_book *book, int64_t version, dw_error *err) {
  size_t works = 0;
  dw_status status = DW_OK;
  if (version < DW__BOOK_BENCH_STEP) status = dw__works_move(book, &works, err);
  if (status == DW_OK && version < DW__BOOK_PHRASES_STEP) status = dw__entries_take(book, works > 0, err);
  if (status != DW_OK || version >= DW__BOOK_LEFTOVERS_STEP) return status;
  book->worked = 0;
  int result = sqlite3_exec(book->db, dw__book_steps[DW__BOOK_LEFTOVERS_STEP - 1], NULL, NULL, NULL);
  return result == SQLITE_OK ? DW_OK : dw__book_fail(book, result, "bringing it up to date", err);
}

/* Of what was moved. Where that can't be done now, the room is filled in time. */
static void give_room_back(dw_book *book) {
  book->worked = 0;
  sqlite3_exec(book->db, "VACUUM", NULL, NULL, NULL);
}

/* From the version that counts, which is the one inside the transaction: another process may have been
 * faster. *stepped  whether there was anything to do */
static dw_status migrate(dw_book *book, bool *stepped, dw_error *err) {
  int64_t version = 0;
  dw_status status = dw__book_begin_bare(book, DW__ACTIONS_ON, err);
  if (status == DW_OK) status = dw__book_version(book, &version, err);
  if (status == DW_OK) status = take_steps(book, version, err);
  if (status == DW_OK) status = move_leftovers(book, version, err);
  if (status == DW_OK) status = dw_book_commit(book, err);
  dw_book_rollback(book);
  *stepped = status == DW_OK && version < dw__book_step_count;
  return status;
}

dw_status dw__book_migrate(dw_book *book, dw__keep keep, dw_error *err) {
  int64_t version = 0;
  bool stepped = false;
  dw_text kept = {0};
  dw_status status = dw__book_version(book, &version, err);
  if (status != DW_OK || version == dw__book_step_count) return status;
  if (version > 0 && keep == DW__KEEP_OLDER) status = keep_older(book, version, &kept, err);
  if (status == DW_OK) status = migrate(book, &stepped, err);
  if (stepped)
    give_room_back(book);
  else if (kept.data)
    unlink(kept.data); /* a copy of what the book still is, or of what another process has kept */
  dw_text_free(&kept);
  return status;
}
