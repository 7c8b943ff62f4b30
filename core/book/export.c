/* Everything in the book as JSON: one array a table, one row a line. */
#include "book/sql.h"
#include "book/tables.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

enum { EXPORT_VERSION = 1 };

static json_t *bytes_json(const dw__query *query, int column) {
  dw_text text = {0};
  const void *bytes = sqlite3_column_blob(query->stmt, column);
  dw_text_base64(&text, bytes, (size_t)sqlite3_column_bytes(query->stmt, column));
  json_t *json = text.failed ? NULL : json_string(text.data ? text.data : "");
  dw_text_free(&text);
  return json;
}

/* NULL for what can't be told in JSON: out of memory, or a damaged text. */
static json_t *value_json(const dw__query *query, int column, dw__kind kind) {
  if (dw__query_null(query, column)) return json_null();
  switch (kind) {
  case DW__WHOLE:
  case DW__ROW:
    return json_integer(dw__query_integer(query, column));
  case DW__REAL:
    return json_real(dw__query_number(query, column));
  case DW__BYTES:
    return bytes_json(query, column);
  case DW__OBJECT:
  case DW__ARRAY:
    return json_loads(dw__query_text(query, column), JSON_REJECT_DUPLICATES, NULL);
  default:
    return json_string(dw__query_text(query, column));
  }
}

static dw_status put_row(const dw__query *query, const dw__table *table, dw_text *out, dw_error *err) {
  json_t *row = json_object();
  bool whole = row && json_object_set_new(row, "id", json_integer(dw__query_integer(query, 0))) == 0;
  for (size_t i = 0; i < table->n && whole; i++)
    whole = json_object_set_new(row, table->column[i].name,
                                value_json(query, (int)i + 1, table->column[i].kind)) == 0;
  char *text = whole ? json_dumps(row, JSON_COMPACT | JSON_REAL_PRECISION(17)) : NULL;
  json_decref(row);
  if (!text)
    return dw_fail(err, DW_CORRUPT,
                   "Row %lld of %s in the book %s can't be written as JSON; run dropwise book check.",
                   (long long)dw__query_integer(query, 0), table->title, query->book->path);
  dw_text_put(out, text, strlen(text));
  free(text);
  return DW_OK;
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
