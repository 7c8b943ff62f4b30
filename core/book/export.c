/* Everything in the book as JSON: one array a table, one row a line. */
#include "book/sql.h"
#include "book/tables.h"

#include <jansson.h>
#include <stdlib.h>
#include <string.h>

enum { EXPORT_VERSION = 1 };

static json_t *bytes_json(const pt__query *query, int column) {
  pt_text text = {0};
  const void *bytes = sqlite3_column_blob(query->stmt, column);
  pt_text_base64(&text, bytes, (size_t)sqlite3_column_bytes(query->stmt, column));
  json_t *json = text.failed ? NULL : json_string(text.data ? text.data : "");
  pt_text_free(&text);
  return json;
}

/* NULL for what can't be told in JSON: out of memory, or a damaged text. */
static json_t *value_json(const pt__query *query, int column, pt__kind kind) {
  if (pt__query_null(query, column)) return json_null();
  switch (kind) {
  case PT__WHOLE:
  case PT__ROW:
    return json_integer(pt__query_integer(query, column));
  case PT__REAL:
    return json_real(pt__query_number(query, column));
  case PT__BYTES:
    return bytes_json(query, column);
  case PT__OBJECT:
  case PT__ARRAY:
    return json_loads(pt__query_text(query, column), JSON_REJECT_DUPLICATES, NULL);
  default:
    return json_string(pt__query_text(query, column));
  }
}

static pt_status put_row(const pt__query *query, const pt__table *table, pt_text *out, pt_error *err) {
  json_t *row = json_object();
  bool whole = row && json_object_set_new(row, "id", json_integer(pt__query_integer(query, 0))) == 0;
  for (size_t i = 0; i < table->n && whole; i++)
    whole = json_object_set_new(row, table->column[i].name,
                                value_json(query, (int)i + 1, table->column[i].kind)) == 0;
  char *text = whole ? json_dumps(row, JSON_COMPACT | JSON_REAL_PRECISION(17)) : NULL;
  json_decref(row);
  if (!text)
    return pt_fail(err, PT_CORRUPT,
                   "Row %lld of %s in the book %s can't be written as JSON; run pourtone book check.",
                   (long long)pt__query_integer(query, 0), table->title, query->book->path);
  pt_text_put(out, text, strlen(text));
  free(text);
  return PT_OK;
}

static pt_status put_table(pt_book *book, const pt__table *table, pt_text *out, pt_error *err) {
  pt_text sql = {0};
  pt__query query = {0};
  bool row = true;
  pt_text_add(&sql, "SELECT id");
  for (size_t i = 0; i < table->n; i++) pt_text_add(&sql, ", %s", table->column[i].name);
  pt_text_add(&sql, " FROM %s ORDER BY id", table->name);
  pt_status status = sql.failed ? pt_fail_memory(err, "the export") : PT_OK;
  if (status == PT_OK) status = pt__query_open(book, sql.data, &query, err, "");
  pt_text_add(out, ",\n\"%s\": [", table->title);
  for (const char *comma = ""; status == PT_OK; comma = ",") {
    status = pt__query_next(&query, &row, err);
    if (status != PT_OK || !row) break;
    pt_text_add(out, "%s\n", comma);
    status = put_row(&query, table, out, err);
  }
  pt_text_add(out, "]");
  pt__query_close(&query);
  pt_text_free(&sql);
  return status;
}

pt_status pt_book_export(pt_book *book, char **out, size_t *n, pt_error *err) {
  pt_text text = {0};
  pt_text_add(&text, "{\"pourtone_export\": %d, \"schema\": %d", EXPORT_VERSION, pt_book_schema_version());
  pt_status status = PT_OK;
  for (size_t i = 0; i < pt__table_count && status == PT_OK; i++)
    status = put_table(book, &pt__tables[i], &text, err);
  pt_text_add(&text, "}\n");
  if (status == PT_OK && text.failed) status = pt_fail_memory(err, "the export");
  if (status != PT_OK) {
    pt_text_free(&text);
    return status;
  }
  *out = text.data;
  *n = text.length;
  return PT_OK;
}
