#include "book/expected.h"
#include "book/schema.h"
#include "book/sql.h"

#include <string.h>

static const char rows_sql[] = "SELECT type, name, tbl_name, sql FROM sqlite_schema"
                               " WHERE type <> 'table' OR name NOT IN ('sqlite_stat1', 'sqlite_stat4')"
                               " ORDER BY type, name, tbl_name";
enum { TYPE, NAME, TABLE, SQL, COLUMNS };

/* An empty book of that version, in memory. */
static int make_expected(int64_t version, sqlite3 **out) {
  int result = sqlite3_open(":memory:", out);
  for (int64_t i = 0; i < version && result == SQLITE_OK; i++)
    result = sqlite3_exec(*out, dw__book_steps[i], NULL, NULL, NULL);
  return result;
}

static const char *text_of(sqlite3_stmt *row, int column) {
  const char *text = (const char *)sqlite3_column_text(row, column);
  return text ? text : "";
}

/* By type and name. */
static int compare_place(sqlite3_stmt *a, sqlite3_stmt *b) {
  int order = strcmp(text_of(a, TYPE), text_of(b, TYPE));
  return order ? order : strcmp(text_of(a, NAME), text_of(b, NAME));
}

static bool same_row(sqlite3_stmt *a, sqlite3_stmt *b) {
  for (int i = 0; i < COLUMNS; i++)
    if (strcmp(text_of(a, i), text_of(b, i)) != 0) return false;
  return true;
}

static dw_status differs(const dw_book *book, sqlite3_stmt *row, const char *how, dw_error *err) {
  return dw_fail(err, DW_CORRUPT,
                 "The book %s %s %.8s \"%.60s\": another program wrote to it. Restore a backup with dropwise "
                 "book restore.",
                 book->path, how, text_of(row, TYPE), text_of(row, NAME));
}

/* Both lists in the same order, step by step. */
static dw_status compare(dw_book *book, sqlite3_stmt *found, sqlite3_stmt *expected, dw_error *err) {
  while (true) {
    int a = sqlite3_step(found), b = sqlite3_step(expected);
    if (a != SQLITE_ROW && a != SQLITE_DONE) return dw__book_fail(book, a, "opening", err);
    if (b != SQLITE_ROW && b != SQLITE_DONE) return dw__book_fail(book, b, "opening", err);
    if (a == SQLITE_DONE && b == SQLITE_DONE) return DW_OK;
    int order = a == SQLITE_DONE ? 1 : b == SQLITE_DONE ? -1 : compare_place(found, expected);
    if (order < 0) return differs(book, found, "has a foreign", err);
    if (order > 0) return differs(book, expected, "lacks the", err);
    if (!same_row(found, expected)) return differs(book, found, "has another", err);
  }
}

static dw_status compare_made(dw_book *book, int64_t version, dw_error *err) {
  sqlite3 *made = NULL;
  sqlite3_stmt *found = NULL, *expected = NULL;
  int result = make_expected(version, &made);
  if (result == SQLITE_OK) result = sqlite3_prepare_v2(made, rows_sql, -1, &expected, NULL);
  if (result == SQLITE_OK) result = sqlite3_prepare_v2(book->db, rows_sql, -1, &found, NULL);
  dw_status status =
      result == SQLITE_OK ? compare(book, found, expected, err) : dw__book_fail(book, result, "opening", err);
  sqlite3_finalize(found);
  sqlite3_finalize(expected);
  sqlite3_close(made);
  return status;
}

dw_status dw__schema_digest(dw_book *book, char out[DW_SHA256_ROOM], dw_error *err) {
  dw__query query;
  dw_text rows = {0};
  bool row = true;
  dw_status status = dw__query_open(book, rows_sql, &query, err, "");
  while (status == DW_OK && (status = dw__query_next(&query, &row, err)) == DW_OK && row)
    for (int i = 0; i < COLUMNS; i++) {
      const char *text = text_of(query.stmt, i);
      dw_text_put(&rows, text, strlen(text) + 1); /* each with its end */
    }
  dw__query_close(&query);
  if (status == DW_OK && rows.failed) status = dw_fail_memory(err, "the book's schema");
  if (status == DW_OK) dw_sha256(rows.data ? rows.data : "", rows.length, out);
  dw_text_free(&rows);
  return status;
}

dw_status dw__schema_check(dw_book *book, int64_t version, dw_error *err) {
  char digest[DW_SHA256_ROOM];
  dw_status status = dw__schema_digest(book, digest, err);
  if (status != DW_OK) return status;
  if (version == dw__book_step_count && strcmp(digest, dw__book_digest) == 0) return DW_OK;
  return compare_made(book, version, err);
}
