#include "book/sql.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

pt_status pt__book_fail(const pt_book *book, int result, const char *doing, pt_error *err) {
  const char *path = book->path;
  switch (result & 0xff) {
  case SQLITE_BUSY:
  case SQLITE_LOCKED:
    return pt_fail(err, PT_LOCKED, "The book %s is in use by another program; try again in a moment.", path);
  case SQLITE_FULL:
    return pt_fail(err, PT_IO, "The disk is full: nothing of this was written to %s.", path);
  case SQLITE_READONLY:
    return pt_fail(err, PT_IO, "The book %s can't be written to; check its permissions.", path);
  case SQLITE_CANTOPEN:
    return pt_fail(err, PT_IO, "The book %s can't be opened; check the folder's permissions.", path);
  case SQLITE_NOTADB:
    return pt_fail(err, PT_CORRUPT, "%s is not a book.", path);
  case SQLITE_CORRUPT:
    return pt_fail(err, PT_CORRUPT, "The book %s is damaged; restore a backup with pourtone book restore.",
                   path);
  case SQLITE_NOMEM:
    return pt_fail_memory(err, "the book");
  case SQLITE_IOERR:
    return pt_fail(err, PT_IO, "The disk failed while %s in %s; nothing was changed.", doing, path);
  case SQLITE_CONSTRAINT:
    return pt_fail(err, PT_BAD_INPUT, "The book refused %s: %s.", doing, sqlite3_errmsg(book->db));
  default:
    return pt_fail(err, PT_INTERNAL, "The book %s failed while %s: %s.", path, doing,
                   sqlite3_errmsg(book->db));
  }
}

static int bind_values(sqlite3_stmt *stmt, const char *types, va_list values) {
  int result = SQLITE_OK;
  for (int i = 1; *types && result == SQLITE_OK; types++, i++) {
    if (*types == 't') {
      result = sqlite3_bind_text(stmt, i, va_arg(values, const char *), -1, SQLITE_TRANSIENT);
    } else if (*types == 'i') {
      result = sqlite3_bind_int64(stmt, i, va_arg(values, int64_t));
    } else if (*types == 'r') {
      int64_t row = va_arg(values, int64_t);
      result = row ? sqlite3_bind_int64(stmt, i, row) : sqlite3_bind_null(stmt, i);
    } else if (*types == 'd') {
      double value = va_arg(values, double);
      result = isnan(value) ? sqlite3_bind_null(stmt, i) : sqlite3_bind_double(stmt, i, value);
    } else {
      const void *bytes = va_arg(values, const void *);
      size_t n = va_arg(values, size_t);
      result = sqlite3_bind_blob64(stmt, i, bytes, n, SQLITE_TRANSIENT);
    }
  }
  return result;
}

static pt_status query_prepare(pt_book *book, const char *sql, pt__query *out, const char *types,
                               va_list values, pt_error *err) {
  *out = (pt__query){.book = book};
  int result = sqlite3_prepare_v2(book->db, sql, -1, &out->stmt, NULL);
  if (result == SQLITE_OK) result = bind_values(out->stmt, types, values);
  if (result == SQLITE_OK) return PT_OK;
  pt_status status = pt__book_fail(book, result, "looking something up", err);
  pt__query_close(out);
  return status;
}

pt_status pt__query_open(pt_book *book, const char *sql, pt__query *out, pt_error *err, const char *types,
                         ...) {
  va_list values;
  va_start(values, types);
  pt_status status = query_prepare(book, sql, out, types, values, err);
  va_end(values);
  return status;
}

pt_status pt__query_next(pt__query *query, bool *row, pt_error *err) {
  int result = sqlite3_step(query->stmt);
  *row = result == SQLITE_ROW;
  if (result == SQLITE_ROW || result == SQLITE_DONE) return PT_OK;
  return pt__book_fail(query->book, result, "reading or writing", err);
}

void pt__query_close(pt__query *query) {
  sqlite3_finalize(query->stmt);
  query->stmt = NULL;
}

double pt__query_number(const pt__query *query, int column) {
  if (sqlite3_column_type(query->stmt, column) == SQLITE_NULL) return NAN;
  return sqlite3_column_double(query->stmt, column);
}

int64_t pt__query_integer(const pt__query *query, int column) {
  return sqlite3_column_int64(query->stmt, column);
}

bool pt__query_null(const pt__query *query, int column) {
  return sqlite3_column_type(query->stmt, column) == SQLITE_NULL;
}

const char *pt__query_text(const pt__query *query, int column) {
  const char *text = (const char *)sqlite3_column_text(query->stmt, column);
  return text ? text : "";
}

void pt__query_copy(const pt__query *query, int column, char *out, size_t room) {
  pt_copy_text(out, room, pt__query_text(query, column));
}

pt_lab pt__query_lab(const pt__query *query, int column) {
  return (pt_lab){pt__query_number(query, column), pt__query_number(query, column + 1),
                  pt__query_number(query, column + 2)};
}

static pt_status run_to_end(pt__query *query, pt_error *err) {
  bool row = true;
  pt_status status = PT_OK;
  while (status == PT_OK && row) status = pt__query_next(query, &row, err);
  return status;
}

pt_status pt__book_run(pt_book *book, int64_t *id, pt_error *err, const char *sql, const char *types, ...) {
  pt__query query;
  va_list values;
  va_start(values, types);
  pt_status status = query_prepare(book, sql, &query, types, values, err);
  va_end(values);
  if (status == PT_OK) status = run_to_end(&query, err);
  if (status == PT_OK && id) *id = sqlite3_last_insert_rowid(book->db);
  pt__query_close(&query);
  return status;
}

pt_status pt__book_change(pt_book *book, const char *missing, pt_error *err, const char *sql,
                          const char *types, ...) {
  pt__query query;
  va_list values;
  va_start(values, types);
  pt_status status = query_prepare(book, sql, &query, types, values, err);
  va_end(values);
  if (status == PT_OK) status = run_to_end(&query, err);
  if (status == PT_OK && sqlite3_changes(book->db) == 0) status = pt_fail(err, PT_NOT_FOUND, "%s", missing);
  pt__query_close(&query);
  return status;
}

pt_status pt__book_integer(pt_book *book, int64_t *out, const char *missing, pt_error *err, const char *sql,
                           const char *types, ...) {
  pt__query query;
  va_list values;
  va_start(values, types);
  pt_status status = query_prepare(book, sql, &query, types, values, err);
  va_end(values);
  bool row = false;
  if (status == PT_OK) status = pt__query_next(&query, &row, err);
  if (status == PT_OK && row) *out = pt__query_integer(&query, 0);
  if (status == PT_OK && !row) status = pt_fail(err, PT_NOT_FOUND, "%s", missing);
  pt__query_close(&query);
  return status;
}

static bool list_grow(void **list, size_t size, size_t *room) {
  size_t bytes, more = *room ? 2 * *room : 16;
  if (!pt_size_mul(more, size, &bytes)) return false;
  void *grown = realloc(*list, bytes);
  if (!grown) return false;
  *list = grown;
  *room = more;
  return true;
}

/* On error *list is what to free. */
static pt_status read_rows(pt__query *query, size_t size, pt__row_reader read, void **list, size_t *n,
                           pt_error *err) {
  size_t room = 0;
  bool row = true;
  pt_status status = PT_OK;
  while (status == PT_OK && (status = pt__query_next(query, &row, err)) == PT_OK && row) {
    if (*n == room && !list_grow(list, size, &room)) return pt_fail_memory(err, "what the book holds");
    char *element = (char *)*list + *n * size;
    memset(element, 0, size);
    status = read(query, element, err);
    ++*n;
  }
  return status;
}

pt_status pt__book_list(pt_book *book, size_t size, pt__row_reader read, void *out, size_t *n, pt_error *err,
                        const char *sql, const char *types, ...) {
  pt__query query;
  void *list = NULL;
  size_t count = 0;
  va_list values;
  va_start(values, types);
  pt_status status = query_prepare(book, sql, &query, types, values, err);
  va_end(values);
  if (status == PT_OK) status = read_rows(&query, size, read, &list, &count, err);
  pt__query_close(&query);
  if (status != PT_OK) {
    free(list);
    return status;
  }
  memcpy(out, &list, sizeof list); /* whatever the element's type: all object pointers are alike here */
  *n = count;
  return PT_OK;
}

pt_status pt__book_row(pt_book *book, pt__row_reader read, void *element, const char *missing, pt_error *err,
                       const char *sql, const char *types, ...) {
  pt__query query;
  bool row = false;
  va_list values;
  va_start(values, types);
  pt_status status = query_prepare(book, sql, &query, types, values, err);
  va_end(values);
  if (status == PT_OK) status = pt__query_next(&query, &row, err);
  if (status == PT_OK && !row) status = pt_fail(err, PT_NOT_FOUND, "%s", missing);
  if (status == PT_OK) status = read(&query, element, err);
  pt__query_close(&query);
  return status;
}
