/* Values of an export, checked. */
#include "book/importing.h"
#include "dropwise/json.h"

#include <stdlib.h>
#include <string.h>

enum { PREVIEW_BYTES_MAX = 4 << 20 };

dw_status dw__import_wrong(dw__importing *im, const char *column, const char *what) {
  return dw_fail(im->err, DW_BAD_INPUT, "%s: %s, entry %zu: \"%s\" %s.", im->name, im->table->title,
                 im->entry, column, what);
}

static size_t table_index(const char *name) {
  size_t i = 0;
  while (i + 1 < dw__table_count && strcmp(dw__tables[i].name, name) != 0) i++;
  return i;
}

static bool map_find(const dw__id_map *map, int64_t from, int64_t *to) {
  size_t low = 0, high = map->n;
  while (low < high) {
    size_t middle = low + (high - low) / 2;
    if (map->from[middle] < from)
      low = middle + 1;
    else
      high = middle;
  }
  if (low == map->n || map->from[low] != from) return false;
  *to = map->to[low];
  return true;
}

/* The sentence of a check that failed goes behind the place. */
static dw_status checked(dw__importing *im, const char *column, dw_status status, const dw_error *why) {
  if (status == DW_OK) return DW_OK;
  return dw_fail(im->err, DW_BAD_INPUT, "%s: %s, entry %zu, \"%s\": %.300s", im->name, im->table->title,
                 im->entry, column, why->text);
}

static dw_status text_check(dw__importing *im, const dw__column *column, const json_t *value) {
  dw_error why = {0};
  const char *text = json_string_value(value);
  if (!text || strlen(text) != json_string_length(value))
    return dw__import_wrong(im, column->name, "must be a text");
  switch (column->kind) {
  case DW__NAME:
    return checked(im, column->name, dw__name_check("thing", text, column->room, &why), &why);
  case DW__NOTE:
    return checked(im, column->name, dw__note_check(text, &why), &why);
  case DW__TIME:
    return checked(im, column->name, dw__time_check(text, &why), &why);
  case DW__SLUG:
    return dw_id_valid(text) ? DW_OK : dw__import_wrong(im, column->name, "can't name a bottle");
  case DW__HASH:
    return dw_sha256_valid(text) ? DW_OK : dw__import_wrong(im, column->name, "is no SHA-256");
  default:
    if (strlen(text) >= column->room) return dw__import_wrong(im, column->name, "is too long");
    for (const char *p = text; *p; p++)
      if ((unsigned char)*p < 0x20 || *p == 0x7f)
        return dw__import_wrong(im, column->name, "holds a control character");
    return DW_OK;
  }
}

static dw_status bind_text(dw__importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                           const json_t *value) {
  dw_status status = text_check(im, column, value);
  if (status == DW_OK &&
      sqlite3_bind_text(stmt, at, json_string_value(value), -1, SQLITE_TRANSIENT) != SQLITE_OK)
    status = dw_fail_memory(im->err, "the import");
  return status;
}

static dw_status bind_row(dw__importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                          const json_t *value) {
  int64_t to;
  size_t table = table_index(column->table);
  if (!json_is_integer(value)) return dw__import_wrong(im, column->name, "must be the id of an entry");
  if (column->may_lack && dw__tables[table].of_fit && im->skip_fits) return DW_OK; /* unbound is NULL */
  if (!map_find(&im->map[table], json_integer_value(value), &to))
    return dw__import_wrong(im, column->name, "names an entry that is not there");
  sqlite3_bind_int64(stmt, at, to);
  return DW_OK;
}

static dw_status bind_bytes(dw__importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                            const json_t *value) {
  const char *text = json_string_value(value);
  size_t length = json_string_length(value), n = 0;
  uint8_t *bytes = NULL;
  if (!text || length > 2 * PREVIEW_BYTES_MAX)
    return dw__import_wrong(im, column->name, "must be base64 of at most 4 MiB");
  dw_status status = dw_base64_decode(text, length, "A photo's preview", &bytes, &n, im->err);
  if (status == DW_OK && sqlite3_bind_blob64(stmt, at, bytes, n, SQLITE_TRANSIENT) != SQLITE_OK)
    status = dw_fail_memory(im->err, "the import");
  free(bytes);
  return status == DW_BAD_INPUT ? dw__import_wrong(im, column->name, "is not base64") : status;
}

static dw_status bind_json(dw__importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                           const json_t *value) {
  bool right = column->kind == DW__OBJECT ? json_is_object(value) : json_is_array(value);
  if (!right)
    return dw__import_wrong(im, column->name,
                            column->kind == DW__OBJECT ? "must be an object" : "must be an array");
  char *text = dw_json_write(value, JSON_COMPACT | JSON_REAL_PRECISION(17));
  if (!text) return dw_fail_memory(im->err, "the import");
  sqlite3_bind_text(stmt, at, text, -1, free);
  return DW_OK;
}

static dw_status bind_number(dw__importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                             const json_t *value) {
  char what[80];
  double number = json_number_value(value);
  if (column->kind == DW__WHOLE && !json_is_integer(value))
    return dw__import_wrong(im, column->name, "must be a whole number");
  if (!json_is_number(value)) return dw__import_wrong(im, column->name, "must be a number");
  snprintf(what, sizeof what, "must lie between %g and %g", column->min, column->max);
  if (!(number >= column->min && number <= column->max)) return dw__import_wrong(im, column->name, what);
  if (column->kind == DW__WHOLE)
    sqlite3_bind_int64(stmt, at, json_integer_value(value));
  else
    sqlite3_bind_double(stmt, at, number);
  return DW_OK;
}

dw_status dw__import_bind(dw__importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                          const json_t *value) {
  if (!value && im->schema < column->since) return DW_OK; /* unbound is NULL */
  if (!value) return dw__import_wrong(im, column->name, "is missing");
  if (json_is_null(value))
    return column->may_lack ? DW_OK
                            : dw__import_wrong(im, column->name, "must not be null"); /* unbound is NULL */
  switch (column->kind) {
  case DW__WHOLE:
  case DW__REAL:
    return bind_number(im, stmt, at, column, value);
  case DW__ROW:
    return bind_row(im, stmt, at, column, value);
  case DW__BYTES:
    return bind_bytes(im, stmt, at, column, value);
  case DW__OBJECT:
  case DW__ARRAY:
    return bind_json(im, stmt, at, column, value);
  default:
    return bind_text(im, stmt, at, column, value);
  }
}
