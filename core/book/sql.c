#include "book/sql.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* SQLite calls a book damaged where the disk gave an error instead of a page; the file knows which it was. */
static bool disk_failed(const dw_book *book) {
  static const int files[] = {SQLITE_FCNTL_FILE_POINTER, SQLITE_FCNTL_JOURNAL_POINTER};
  for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
    sqlite3_file *file = NULL;
    int fault = 0;
    sqlite3_file_control(book->db, "main", files[i], &file);
    if (file && file->pMethods) file->pMethods->xFileControl(file, SQLITE_FCNTL_LAST_ERRNO, &fault);
    if (fault) return true;
  }
  return false;
}

dw_status dw__book_fail(const dw_book *book, int result, const char *doing, dw_error *err) {
  const char *path = book->path;
  int kind = result & 0xff;
  switch (kind == SQLITE_CORRUPT && disk_failed(book) ? SQLITE_IOERR : kind) {
  case SQLITE_BUSY:
  case SQLITE_LOCKED:
    return dw_fail(err, DW_LOCKED, "The book %s is in use by another program; try again in a moment.", path);
  case SQLITE_FULL:
    return dw_fail(err, DW_IO, "The disk is full: nothing of this was written to %s.", path);
  case SQLITE_READONLY:
    return dw_fail(err, DW_IO, "The book %s can't be written to; check its permissions.", path);
  case SQLITE_CANTOPEN:
    return dw_fail(err, DW_IO, "The book %s can't be opened; check the folder's permissions.", path);
  case SQLITE_NOTADB:
    return dw_fail(err, DW_CORRUPT, "%s is not a book.", path);
  case SQLITE_CORRUPT:
    return dw_fail(err, DW_CORRUPT, "The book %s is damaged; restore a backup with dropwise book restore.",
                   path);
  case SQLITE_NOMEM:
    return dw_fail_memory(err, "the book");
  case SQLITE_INTERRUPT:
    return dw_fail(err, DW_CORRUPT,
                   "Looking something up in the book %s takes no end: it is damaged; restore a backup with "
                   "dropwise book restore.",
                   path);
  case SQLITE_IOERR:
    return dw_fail(err, DW_IO, "The disk failed while %s in %s; nothing was changed.", doing, path);
  case SQLITE_CONSTRAINT:
    return dw_fail(err, DW_BAD_INPUT, "The book refused %s: %s.", doing, sqlite3_errmsg(book->db));
  default:
    return dw_fail(err, DW_INTERNAL, "The book %s failed while %s: %s.", path, doing,
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

static dw_status query_prepare(dw_book *book, const char *sql, dw__query *out, const char *types,
                               va_list values, dw_error *err) {
  *out = (dw__query){.book = book};
  book->worked = 0;
  int result = sqlite3_prepare_v2(book->db, sql, -1, &out->stmt, NULL);
  if (result == SQLITE_OK) result = bind_values(out->stmt, types, values);
  if (result == SQLITE_OK) return DW_OK;
  dw_status status = dw__book_fail(book, result, "looking something up", err);
  dw__query_close(out);
  return status;
}

dw_status dw__query_open(dw_book *book, const char *sql, dw__query *out, dw_error *err, const char *types,
                         ...) {
  va_list values;
  va_start(values, types);
  dw_status status = query_prepare(book, sql, out, types, values, err);
  va_end(values);
  return status;
}

dw_status dw__book_unread(dw_book *book, dw_error *err) {
  if (!book->unread) return DW_OK;
  book->unread = false;
  return dw_fail_memory(err, "what the book holds");
}

dw_status dw__query_whole(const dw__query *query, dw_error *err) {
  return dw__book_unread(query->book, err);
}

dw_status dw__query_next(dw__query *query, bool *row, dw_error *err) {
  *row = false;
  if (query->book->unread) return dw__query_whole(query, err);
  int result = sqlite3_step(query->stmt);
  *row = result == SQLITE_ROW;
  if (result == SQLITE_ROW || result == SQLITE_DONE) return DW_OK;
  return dw__book_fail(query->book, result, "reading or writing", err);
}

void dw__query_close(dw__query *query) {
  sqlite3_finalize(query->stmt);
  query->stmt = NULL;
}

double dw__query_number(const dw__query *query, int column) {
  if (sqlite3_column_type(query->stmt, column) == SQLITE_NULL) return NAN;
  return sqlite3_column_double(query->stmt, column);
}

int64_t dw__query_integer(const dw__query *query, int column) {
  return sqlite3_column_int64(query->stmt, column);
}

bool dw__query_null(const dw__query *query, int column) {
  return sqlite3_column_type(query->stmt, column) == SQLITE_NULL;
}

const char *dw__query_text(const dw__query *query, int column) {
  bool null = dw__query_null(query, column); /* asked first: a text that memory lacks for becomes NULL */
  const char *text = (const char *)sqlite3_column_text(query->stmt, column);
  if (!text && !null) query->book->unread = true;
  return text ? text : "";
}

void dw__query_copy(const dw__query *query, int column, char *out, size_t room) {
  dw_copy_text(out, room, dw__query_text(query, column));
}

dw_lab dw__query_lab(const dw__query *query, int column) {
  return (dw_lab){dw__query_number(query, column), dw__query_number(query, column + 1),
                  dw__query_number(query, column + 2)};
}

static dw_status run_to_end(dw__query *query, dw_error *err) {
  bool row = true;
  dw_status status = DW_OK;
  while (status == DW_OK && row) status = dw__query_next(query, &row, err);
  return status;
}

dw_status dw__book_run(dw_book *book, int64_t *id, dw_error *err, const char *sql, const char *types, ...) {
  dw__query query;
  va_list values;
  va_start(values, types);
  dw_status status = query_prepare(book, sql, &query, types, values, err);
  va_end(values);
  if (status == DW_OK) status = run_to_end(&query, err);
  if (status == DW_OK && id) *id = sqlite3_last_insert_rowid(book->db);
  dw__query_close(&query);
  return status;
}

dw_status dw__book_change(dw_book *book, const char *missing, dw_error *err, const char *sql,
                          const char *types, ...) {
  dw__query query;
  va_list values;
  va_start(values, types);
  dw_status status = query_prepare(book, sql, &query, types, values, err);
  va_end(values);
  if (status == DW_OK) status = run_to_end(&query, err);
  if (status == DW_OK && sqlite3_changes(book->db) == 0) status = dw_fail(err, DW_NOT_FOUND, "%s", missing);
  dw__query_close(&query);
  return status;
}

dw_status dw__book_integer(dw_book *book, int64_t *out, const char *missing, dw_error *err, const char *sql,
                           const char *types, ...) {
  dw__query query;
  va_list values;
  va_start(values, types);
  dw_status status = query_prepare(book, sql, &query, types, values, err);
  va_end(values);
  bool row = false;
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK && row) *out = dw__query_integer(&query, 0);
  if (status == DW_OK && !row) status = dw_fail(err, DW_NOT_FOUND, "%s", missing);
  dw__query_close(&query);
  return status;
}

static bool list_grow(void **list, size_t size, size_t *room) {
  size_t bytes, more = *room ? 2 * *room : 16;
  if (!dw_size_mul(more, size, &bytes)) return false;
  void *grown = realloc(*list, bytes);
  if (!grown) return false;
  *list = grown;
  *room = more;
  return true;
}

/* On error *list is what to free. */
static dw_status read_rows(dw__query *query, size_t size, dw__row_reader read, void **list, size_t *n,
                           dw_error *err) {
  size_t room = 0;
  bool row = true;
  dw_status status = DW_OK;
  while (status == DW_OK && (status = dw__query_next(query, &row, err)) == DW_OK && row) {
    if (*n == room && !list_grow(list, size, &room)) return dw_fail_memory(err, "what the book holds");
    char *element = (char *)*list + *n * size;
    memset(element, 0, size);
    status = read(query, element, err);
    if (status == DW_OK) status = dw__query_whole(query, err);
    ++*n;
  }
  return status;
}

dw_status dw__book_list(dw_book *book, size_t size, dw__row_reader read, void *out, size_t *n, dw_error *err,
                        const char *sql, const char *types, ...) {
  dw__query query;
  void *list = NULL;
  size_t count = 0;
  va_list values;
  va_start(values, types);
  dw_status status = query_prepare(book, sql, &query, types, values, err);
  va_end(values);
  if (status == DW_OK) status = read_rows(&query, size, read, &list, &count, err);
  dw__query_close(&query);
  if (status != DW_OK) {
    free(list);
    return status;
  }
  memcpy(out, &list, sizeof list); /* whatever the element's type: all object pointers are alike here */
  *n = count;
  return DW_OK;
}

dw_status dw__book_row(dw_book *book, dw__row_reader read, void *element, const char *missing, dw_error *err,
                       const char *sql, const char *types, ...) {
  dw__query query;
  bool row = false;
  va_list values;
  va_start(values, types);
  dw_status status = query_prepare(book, sql, &query, types, values, err);
  va_end(values);
  if (status == DW_OK) status = dw__query_next(&query, &row, err);
  if (status == DW_OK && !row) status = dw_fail(err, DW_NOT_FOUND, "%s", missing);
  if (status == DW_OK) status = read(&query, element, err);
  if (status == DW_OK) status = dw__query_whole(&query, err);
  dw__query_close(&query);
  return status;
}
