#include "book/record.h"
#include "book/sql.h"
#include "book/tables.h"
#include "dropwise/json.h"

#include <stdlib.h>
#include <string.h>

dw_status dw__record_begin(dw_book *book, sqlite3_session **out, dw_error *err) {
  *out = NULL;
  int result = sqlite3session_create(book->db, "main", out);
  for (size_t i = 0; i < dw__table_count && result == SQLITE_OK; i++)
    if (dw__table_watched(&dw__tables[i])) result = sqlite3session_attach(*out, dw__tables[i].name);
  return result == SQLITE_OK ? DW_OK : dw__book_fail(book, result, "starting a change", err);
}

/* ---- names of columns ---------------------------------------------------------------------------------- */

/* The columns of the table at hand, in the order that the file has them. */
typedef struct columns {
  char table[64];     /* a copy: the changeset's own goes with its next row; "" before any */
  sqlite3_stmt *stmt; /* of a query that is never run, for its columns' names */
} columns;

static int columns_of(dw_book *book, const char *table, columns *out) {
  char sql[96];
  if (strcmp(out->table, table) == 0) return SQLITE_OK;
  sqlite3_finalize(out->stmt);
  *out = (columns){0};
  dw_copy_text(out->table, sizeof out->table, table);
  snprintf(sql, sizeof sql, "SELECT * FROM \"%s\"", table);
  return sqlite3_prepare_v2(book->db, sql, -1, &out->stmt, NULL);
}

/* ---- one change ---------------------------------------------------------------------------------------- */

static json_t *value_json(sqlite3_value *value) {
  switch (sqlite3_value_type(value)) {
  case SQLITE_INTEGER:
    return json_integer(sqlite3_value_int64(value));
  case SQLITE_FLOAT:
    return json_real(sqlite3_value_double(value));
  case SQLITE_TEXT:
    return json_string((const char *)sqlite3_value_text(value));
  case SQLITE_BLOB: {
    dw_text text = {0};
    dw_text_base64(&text, sqlite3_value_blob(value), (size_t)sqlite3_value_bytes(value));
    json_t *json = text.failed ? NULL : json_string(text.data ? text.data : "");
    dw_text_free(&text);
    return json;
  }
  default:
    return json_null();
  }
}

/* The list of a table within "made", "were" or "gone"; borrowed, NULL when memory is out. */
static json_t *list_of(json_t *record, const char *key, const char *table) {
  json_t *tables = json_object_get(record, key);
  if (!tables && json_object_set_new(record, key, tables = json_object()) != 0) return NULL;
  json_t *list = json_object_get(tables, table);
  if (!list && json_object_set_new(tables, table, list = json_array()) != 0) return NULL;
  return list;
}

/* The values that the changeset tells of the row before. */
static json_t *row_before(sqlite3_changeset_iter *at, int n, const columns *names) {
  json_t *row = json_object();
  for (int i = 0; i < n && row; i++) {
    sqlite3_value *value = NULL;
    if (sqlite3changeset_old(at, i, &value) != SQLITE_OK || !value) continue;
    if (json_object_set_new(row, sqlite3_column_name(names->stmt, i), value_json(value)) == 0) continue;
    json_decref(row);
    row = NULL;
  }
  return row;
}

static bool put_made(sqlite3_changeset_iter *at, json_t *list) {
  sqlite3_value *id = NULL;
  return sqlite3changeset_new(at, 0, &id) == SQLITE_OK && id && list &&
         json_array_append_new(list, json_integer(sqlite3_value_int64(id))) == 0;
}

static dw_status put_change(dw_book *book, sqlite3_changeset_iter *at, columns *names, json_t *record,
                            dw_error *err) {
  const char *table;
  int n, op, indirect;
  int result = sqlite3changeset_op(at, &table, &n, &op, &indirect);
  if (result == SQLITE_OK) result = columns_of(book, table, names);
  if (result != SQLITE_OK) return dw__book_fail(book, result, "writing the journal", err);
  bool whole;
  if (op == SQLITE_INSERT) {
    whole = put_made(at, list_of(record, "made", table));
  } else {
    json_t *list = list_of(record, op == SQLITE_UPDATE ? "were" : "gone", table);
    whole = list && json_array_append_new(list, row_before(at, n, names)) == 0;
  }
  return whole ? DW_OK : dw_fail_memory(err, "the journal");
}

/* ---- ids as ranges ------------------------------------------------------------------------------------- */

static int by_value(const void *a, const void *b) {
  int64_t x = *(const int64_t *)a, y = *(const int64_t *)b;
  return (x > y) - (x < y);
}

/* Ids in any order become first, last, first, last. */
static json_t *ranges_of(const json_t *ids) {
  size_t n = json_array_size(ids);
  int64_t *sorted = calloc(n + 1, sizeof *sorted);
  json_t *out = sorted ? json_array() : NULL;
  for (size_t i = 0; i < n && sorted; i++) sorted[i] = json_integer_value(json_array_get(ids, i));
  if (sorted) qsort(sorted, n, sizeof *sorted, by_value);
  for (size_t i = 0, next; i < n && out; i = next) {
    for (next = i + 1; next < n && sorted[next] == sorted[next - 1] + 1;) next++;
    if (json_array_append_new(out, json_integer(sorted[i])) == 0 &&
        json_array_append_new(out, json_integer(sorted[next - 1])) == 0)
      continue;
    json_decref(out);
    out = NULL;
  }
  free(sorted);
  return out;
}

static dw_status shorten_made(json_t *record, dw_error *err) {
  const char *table;
  json_t *made = json_object_get(record, "made"), *ids;
  void *next;
  json_object_foreach_safe(made, next, table, ids) {
    if (json_object_set_new(made, table, ranges_of(ids)) != 0) return dw_fail_memory(err, "the journal");
  }
  return DW_OK;
}

dw_status dw__record_take(dw_book *book, sqlite3_session *watched, char **out, dw_error *err) {
  int size = 0;
  void *changes = NULL;
  sqlite3_changeset_iter *at = NULL;
  columns names = {0};
  json_t *record = json_object();
  dw_status status = record ? DW_OK : dw_fail_memory(err, "the journal");
  *out = NULL;
  int result = sqlite3session_changeset(watched, &size, &changes);
  if (result == SQLITE_OK) result = sqlite3changeset_start(&at, size, changes);
  while (status == DW_OK && result == SQLITE_OK && (result = sqlite3changeset_next(at)) == SQLITE_ROW) {
    status = put_change(book, at, &names, record, err);
    result = SQLITE_OK;
  }
  if (status == DW_OK && result != SQLITE_DONE)
    status = dw__book_fail(book, result, "writing the journal", err);
  if (status == DW_OK) status = shorten_made(record, err);
  if (status == DW_OK && json_object_size(record) > 0 &&
      !(*out = dw_json_write(record, JSON_COMPACT | JSON_REAL_PRECISION(17))))
    status = dw_fail_memory(err, "the journal");
  sqlite3_finalize(names.stmt);
  /* Where memory was out for a wider table than those before, SQLite 3.40 frees values that it never made. */
  if (result != SQLITE_NOMEM) sqlite3changeset_finalize(at);
  sqlite3_free(changes);
  json_decref(record);
  return status;
}
