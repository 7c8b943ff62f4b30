/* Everything in the book as JSON: one array a table, one row a line. */
#include "book/sql.h"
#include "book/tables.h"
#include "dropwise/json.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { EXPORT_VERSION = 1 };

static dw_status bytes_json(const dw__query *query, int column, json_t **out, dw_error *err) {
  dw_text text = {0};
  const void *bytes = sqlite3_column_blob(query->stmt, column);
  size_t n = (size_t)sqlite3_column_bytes(query->stmt, column);
  dw_text_base64(&text, bytes, bytes ? n : 0);
  *out = text.failed || (n > 0 && !bytes) ? NULL : json_string(text.data ? text.data : "");
  dw_text_free(&text);
  return *out ? DW_OK : dw_fail_memory(err, "the export");
}

/* NULL for what can't be told in JSON: a damaged text, a number that is none. */
static dw_status text_json(const dw__query *query, int column, json_t **out, dw_error *err) {
  const char *text = dw__query_text(query, column);
  dw_status status = dw__query_whole(query, err);
  *out = status == DW_OK ? json_string(text) : NULL;
  if (status == DW_OK && !*out && dw__utf8_valid(text)) status = dw_fail_memory(err, "the export");
  return status;
}

static dw_status document_json(const dw__query *query, int column, json_t **out, dw_error *err) {
  const char *text = dw__query_text(query, column);
  dw_status status = dw__query_whole(query, err);
  if (status == DW_OK) status = dw_json_parse(text, strlen(text), "the export", out, err);
  return status == DW_NO_MEMORY ? status : DW_OK;
}

static dw_status number_json(double value, json_t **out, dw_error *err) {
  *out = json_real(value);
  return *out || !isfinite(value) ? DW_OK : dw_fail_memory(err, "the export");
}

static dw_status made(json_t *json, json_t **out, dw_error *err) {
  *out = json;
  return json ? DW_OK : dw_fail_memory(err, "the export");
}

/* *out  NULL for what can't be told in JSON */
static dw_status value_json(const dw__query *query, int column, dw__kind kind, json_t **out, dw_error *err) {
  *out = NULL;
  if (dw__query_null(query, column)) return made(json_null(), out, err);
  switch (kind) {
  case DW__WHOLE:
  case DW__ROW:
    return made(json_integer(dw__query_integer(query, column)), out, err);
  case DW__REAL:
    return number_json(dw__query_number(query, column), out, err);
  case DW__BYTES:
    return bytes_json(query, column, out, err);
  case DW__OBJECT:
  case DW__ARRAY:
    return document_json(query, column, out, err);
  default:
    return text_json(query, column, out, err);
  }
}

static dw_status fill_row(const dw__query *query, const dw__table *table, json_t *row, dw_error *err) {
  json_t *value;
  dw_status status = made(json_integer(dw__query_integer(query, 0)), &value, err);
  if (status == DW_OK && json_object_set_new(row, "id", value) != 0)
    status = dw_fail_memory(err, "the export");
  for (size_t i = 0; i < table->n && status == DW_OK; i++) {
    status = value_json(query, (int)i + 1, table->column[i].kind, &value, err);
    if (status == DW_OK && !value)
      return dw_fail(err, DW_CORRUPT,
                     "Row %lld of %s in the book %s can't be written as JSON; run dropwise book check.",
                     (long long)dw__query_integer(query, 0), table->title, query->book->path);
    if (status == DW_OK && json_object_set_new(row, table->column[i].name, value) != 0)
      status = dw_fail_memory(err, "the export");
  }
  return status;
}

static dw_status put_row(const dw__query *query, const dw__table *table, dw_text *out, dw_error *err) {
  json_t *row = json_object();
  dw_status status = row ? fill_row(query, table, row, err) : dw_fail_memory(err, "the export");
  char *text = status == DW_OK ? dw_json_write(row, JSON_COMPACT | JSON_REAL_PRECISION(17)) : NULL;
  json_decref(row);
  if (status == DW_OK && !text) status = dw_fail_memory(err, "the export");
  if (text) dw_text_put(out, text, strlen(text));
  free(text);
  return status;
}

static dw_status put_table(dw_book *book, const dw__table *table, dw_text *out, dw_error *err) {
  dw_text sql = {0};
  dw__query query = {0};
  bool row = true;
  dw_text_add(&sql, "SELECT id");
  for (size_t i = 0; i < table->n; i++) dw_text_add(&sql, ", %s", table->column[i].name);
  dw_text_add(&sql, " FROM %s ORDER BY id", table->rows ? table->rows : table->name);
  dw_status status = sql.failed ? dw_fail_memory(err, "the export") : DW_OK;
  if (status == DW_OK) status = dw__query_open(book, sql.data, &query, err, "");
  dw_text_add(out, ",\n\"%s\": [", table->title);
  for (const char *comma = ""; status == DW_OK; comma = ",") {
    status = dw__query_next(&query, &row, err);
    if (status != DW_OK || !row) break;
    dw_text_add(out, "%s\n", comma);
    status = put_row(&query, table, out, err);
  }
  dw_text_add(out, "]");
  dw__query_close(&query);
  dw_text_free(&sql);
  return status;
}

dw_status dw_book_export(dw_book *book, dw_export what, char **out, size_t *n, dw_error *err) {
  dw_text text = {0};
  dw_text_add(&text, "{\"dropwise_export\": %d, \"schema\": %d", EXPORT_VERSION, dw_book_schema_version());
  dw_status status = DW_OK;
  for (size_t i = 0; i < dw__table_count && status == DW_OK; i++)
    if (dw__table_watched(&dw__tables[i]) || (dw__tables[i].journal && what == DW_EXPORT_ALL))
      status = put_table(book, &dw__tables[i], &text, err);
  dw_text_add(&text, "}\n");
  if (status == DW_OK && text.failed) status = dw_fail_memory(err, "the export");
  if (status != DW_OK) {
    dw_text_free(&text);
    return status;
  }
  *out = text.data;
  *n = text.length;
  return DW_OK;
}
