/* A record's changes, taken back. */
#include "book/record.h"
#include "book/sql.h"
#include "book/tables.h"
#include "dropwise/json.h"

#include <stdlib.h>
#include <string.h>

/* The rows are not as the journal has them: another program wrote, or the file is damaged. */
static dw_status differs(dw_book *book, const char *table, dw_error *err) {
  return dw_fail(
      err, DW_CORRUPT,
      "The %s rows of the book %s are not as its journal has them; nothing was changed. Run dropwise "
      "book check.",
      table, book->path);
}

static const dw__table *table_named(const char *name) {
  for (size_t i = 0; i < dw__table_count; i++)
    if (dw__table_watched(&dw__tables[i]) && strcmp(dw__tables[i].name, name) == 0) return &dw__tables[i];
  return NULL;
}

static const dw__column *column_named(const dw__table *table, const char *name) {
  for (size_t i = 0; i < table->n; i++)
    if (strcmp(table->column[i].name, name) == 0) return &table->column[i];
  return NULL;
}

/* ---- values -------------------------------------------------------------------------------------------- */

static int bind_bytes(sqlite3_stmt *stmt, int at, const json_t *value) {
  const char *text = json_string_value(value);
  uint8_t *bytes = NULL;
  size_t n = 0;
  dw_status status = dw_base64_decode(text, json_string_length(value), "A value", &bytes, &n, NULL);
  int result = status == DW_NO_MEMORY ? SQLITE_NOMEM : SQLITE_MISMATCH;
  if (status == DW_OK) result = sqlite3_bind_blob64(stmt, at, bytes, n, SQLITE_TRANSIENT);
  free(bytes);
  return result;
}

/* SQLITE_MISMATCH for what no column holds. */
static int bind_value(sqlite3_stmt *stmt, int at, const json_t *value, bool bytes) {
  if (json_is_null(value)) return sqlite3_bind_null(stmt, at);
  if (json_is_integer(value)) return sqlite3_bind_int64(stmt, at, json_integer_value(value));
  if (json_is_real(value)) return sqlite3_bind_double(stmt, at, json_real_value(value));
  if (!json_is_string(value)) return SQLITE_MISMATCH;
  if (bytes) return bind_bytes(stmt, at, value);
  return sqlite3_bind_text(stmt, at, json_string_value(value), -1, SQLITE_TRANSIENT);
}

/* Runs a statement that must change one row; its parameters are the row's values, the id among them. */
static dw_status run_row(dw_book *book, const dw__table *table, const dw_text *sql, const json_t *row,
                         dw_error *err) {
  sqlite3_stmt *stmt = NULL;
  const char *key;
  json_t *value;
  int at = 1;
  if (sql->failed) return dw_fail_memory(err, "the journal");
  book->worked = 0;
  int result = sqlite3_prepare_v2(book->db, sql->data, -1, &stmt, NULL);
  json_object_foreach((json_t *)row, key, value) {
    const dw__column *column = column_named(table, key);
    if (result == SQLITE_OK) result = bind_value(stmt, at++, value, column && column->kind == DW__BYTES);
  }
  if (result == SQLITE_OK) result = sqlite3_step(stmt);
  sqlite3_finalize(stmt);
  if (result == SQLITE_NOMEM || result == SQLITE_IOERR || result == SQLITE_FULL)
    return dw__book_fail(book, result, "taking something back", err);
  bool done = result == SQLITE_DONE && sqlite3_changes(book->db) == 1;
  return done ? DW_OK : differs(book, table->name, err);
}

/* Only columns that the table has may come into a statement. */
static bool row_known(const dw__table *table, const json_t *row) {
  const char *key;
  json_t *value;
  bool known = json_is_integer(json_object_get(row, "id"));
  json_object_foreach((json_t *)row, key, value) known =
      known && (strcmp(key, "id") == 0 || column_named(table, key));
  return known;
}

/* ---- the three kinds of change ------------------------------------------------------------------------- */

static dw_status take_out(dw_book *book, const dw__table *table, const json_t *ranges, dw_error *err) {
  char sql[96];
  size_t n = json_array_size(ranges);
  dw_status status = n % 2 ? differs(book, table->name, err) : DW_OK;
  snprintf(sql, sizeof sql, "DELETE FROM %s WHERE id BETWEEN ? AND ?", table->name);
  for (size_t i = 0; i + 1 < n && status == DW_OK; i += 2) {
    int64_t first = json_integer_value(json_array_get(ranges, i)),
            last = json_integer_value(json_array_get(ranges, i + 1));
    status = dw__book_run(book, NULL, err, sql, "ii", first, last);
    if (status == DW_OK && sqlite3_changes64(book->db) != last - first + 1)
      status = differs(book, table->name, err);
  }
  return status;
}

static dw_status change_back(dw_book *book, const dw__table *table, const json_t *row, dw_error *err) {
  const char *key;
  json_t *value;
  dw_text sql = {0};
  int at = 1, id = 1;
  dw_text_add(&sql, "UPDATE %s SET", table->name);
  json_object_foreach((json_t *)row, key, value) {
    if (strcmp(key, "id") == 0) id = at;
    dw_text_add(&sql, "%s %s = ?%d", at > 1 ? "," : "", key, at);
    at++;
  }
  dw_text_add(&sql, " WHERE id = ?%d", id);
  dw_status status = run_row(book, table, &sql, row, err);
  dw_text_free(&sql);
  return status;
}

static dw_status put_back(dw_book *book, const dw__table *table, const json_t *row, dw_error *err) {
  const char *key;
  json_t *value;
  dw_text sql = {0};
  const char *comma = "";
  dw_text_add(&sql, "INSERT INTO %s (", table->name);
  json_object_foreach((json_t *)row, key, value) {
    dw_text_add(&sql, "%s%s", comma, key);
    comma = ", ";
  }
  dw_text_add(&sql, ") VALUES (");
  for (size_t i = 0; i < json_object_size(row); i++) dw_text_add(&sql, i ? ", ?" : "?");
  dw_text_add(&sql, ")");
  dw_status status = run_row(book, table, &sql, row, err);
  dw_text_free(&sql);
  return status;
}

static dw_status each_row(dw_book *book, const dw__table *table, const json_t *rows,
                          dw_status (*change)(dw_book *, const dw__table *, const json_t *, dw_error *),
                          dw_error *err) {
  size_t i;
  json_t *row;
  dw_status status = DW_OK;
  json_array_foreach(rows, i, row) {
    if (status == DW_OK)
      status = row_known(table, row) ? change(book, table, row, err) : differs(book, table->name, err);
  }
  return status;
}

typedef enum change { TAKE_OUT, CHANGE_BACK, PUT_BACK } change;

static dw_status each_table(dw_book *book, const json_t *tables, change what, dw_error *err) {
  const char *name;
  json_t *list;
  dw_status status = DW_OK;
  json_object_foreach((json_t *)tables, name, list) {
    const dw__table *table = table_named(name);
    if (status != DW_OK) break;
    if (!table)
      status = differs(book, "journal's", err);
    else if (what == TAKE_OUT)
      status = take_out(book, table, list, err);
    else
      status = each_row(book, table, list, what == CHANGE_BACK ? change_back : put_back, err);
  }
  return status;
}

dw_status dw__record_apply(dw_book *book, const char *record, dw_error *err) {
  json_t *root = NULL;
  dw_status status = dw_json_parse(record, strlen(record), "the journal", &root, err);
  if (status == DW_NO_MEMORY) return status;
  if (!json_is_object(root)) {
    json_decref(root);
    return differs(book, "journal's", err);
  }
  status = each_table(book, json_object_get(root, "made"), TAKE_OUT, err);
  if (status == DW_OK) status = each_table(book, json_object_get(root, "were"), CHANGE_BACK, err);
  if (status == DW_OK) status = each_table(book, json_object_get(root, "gone"), PUT_BACK, err);
  json_decref(root);
  return status;
}
