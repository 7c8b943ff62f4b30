/* An export taken in: every value checked, every reference mapped to the row it became. */
#include "book/schema.h"
#include "book/sql.h"
#include "book/tables.h"

#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { IMPORT_BYTES_MAX = 256 << 20, EXPORT_VERSION = 1, PREVIEW_BYTES_MAX = 4 << 20 };

/* Old ids of a table, rising, and what they became; 0: left out. */
typedef struct id_map {
  size_t n;
  int64_t *from, *to;
} id_map;

typedef struct importing {
  dw_book *book;
  const char *name; /* of the file */
  const dw__table *table;
  size_t entry; /* in the table, from 1, for messages */
  id_map map[DW__TABLES_MAX];
  bool keep_ids; /* the table was empty: rows keep their numbers */
  bool skip_fits;
  bool into_nothing; /* the book was empty, its journal too */
  bool journal;      /* it was taken in */
  json_int_t schema; /* that the document was written by */
  dw_book_imported done;
  dw_error *err;
} importing;

static dw_status wrong(importing *im, const char *column, const char *what) {
  return dw_fail(im->err, DW_BAD_INPUT, "%s: %s, entry %zu: \"%s\" %s.", im->name, im->table->title,
                 im->entry, column, what);
}

/* ---- values -------------------------------------------------------------------------------------------- */

static size_t table_index(const char *name) {
  size_t i = 0;
  while (i + 1 < dw__table_count && strcmp(dw__tables[i].name, name) != 0) i++;
  return i;
}

static bool map_find(const id_map *map, int64_t from, int64_t *to) {
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
static dw_status checked(importing *im, const char *column, dw_status status, const dw_error *why) {
  if (status == DW_OK) return DW_OK;
  return dw_fail(im->err, DW_BAD_INPUT, "%s: %s, entry %zu, \"%s\": %.300s", im->name, im->table->title,
                 im->entry, column, why->text);
}

static dw_status text_check(importing *im, const dw__column *column, const json_t *value) {
  dw_error why = {0};
  const char *text = json_string_value(value);
  if (!text || strlen(text) != json_string_length(value)) return wrong(im, column->name, "must be a text");
  switch (column->kind) {
  case DW__NAME:
    return checked(im, column->name, dw__name_check("thing", text, column->room, &why), &why);
  case DW__NOTE:
    return checked(im, column->name, dw__note_check(text, &why), &why);
  case DW__TIME:
    return checked(im, column->name, dw__time_check(text, &why), &why);
  case DW__SLUG:
    return dw_id_valid(text) ? DW_OK : wrong(im, column->name, "can't name a bottle");
  case DW__HASH:
    return strlen(text) == 64 && strspn(text, "0123456789abcdef") == 64
               ? DW_OK
               : wrong(im, column->name, "is no SHA-256");
  default:
    if (strlen(text) >= column->room) return wrong(im, column->name, "is too long");
    for (const char *p = text; *p; p++)
      if ((unsigned char)*p < 0x20 || *p == 0x7f) return wrong(im, column->name, "holds a control character");
    return DW_OK;
  }
}

static dw_status bind_text(importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                           const json_t *value) {
  dw_status status = text_check(im, column, value);
  if (status == DW_OK) sqlite3_bind_text(stmt, at, json_string_value(value), -1, SQLITE_TRANSIENT);
  return status;
}

static dw_status bind_row(importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                          const json_t *value) {
  int64_t to;
  size_t table = table_index(column->table);
  if (!json_is_integer(value)) return wrong(im, column->name, "must be the id of an entry");
  if (column->may_lack && dw__tables[table].of_fit && im->skip_fits) return DW_OK; /* unbound is NULL */
  if (!map_find(&im->map[table], json_integer_value(value), &to))
    return wrong(im, column->name, "names an entry that is not there");
  sqlite3_bind_int64(stmt, at, to);
  return DW_OK;
}

static dw_status bind_bytes(importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                            const json_t *value) {
  const char *text = json_string_value(value);
  size_t length = json_string_length(value), n = 0;
  uint8_t *bytes = NULL;
  if (!text || length > 2 * PREVIEW_BYTES_MAX)
    return wrong(im, column->name, "must be base64 of at most 4 MiB");
  dw_status status = dw_base64_decode(text, length, "A photo's preview", &bytes, &n, im->err);
  if (status == DW_OK) sqlite3_bind_blob64(stmt, at, bytes, n, SQLITE_TRANSIENT);
  free(bytes);
  return status == DW_BAD_INPUT ? wrong(im, column->name, "is not base64") : status;
}

static dw_status bind_json(importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                           const json_t *value) {
  bool right = column->kind == DW__OBJECT ? json_is_object(value) : json_is_array(value);
  if (!right)
    return wrong(im, column->name, column->kind == DW__OBJECT ? "must be an object" : "must be an array");
  char *text = json_dumps(value, JSON_COMPACT | JSON_REAL_PRECISION(17));
  if (!text) return dw_fail_memory(im->err, "the import");
  sqlite3_bind_text(stmt, at, text, -1, free);
  return DW_OK;
}

static dw_status bind_number(importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                             const json_t *value) {
  char what[80];
  double number = json_number_value(value);
  if (column->kind == DW__WHOLE && !json_is_integer(value))
    return wrong(im, column->name, "must be a whole number");
  if (!json_is_number(value)) return wrong(im, column->name, "must be a number");
  snprintf(what, sizeof what, "must lie between %g and %g", column->min, column->max);
  if (!(number >= column->min && number <= column->max)) return wrong(im, column->name, what);
  if (column->kind == DW__WHOLE)
    sqlite3_bind_int64(stmt, at, json_integer_value(value));
  else
    sqlite3_bind_double(stmt, at, number);
  return DW_OK;
}

static dw_status bind_value(importing *im, sqlite3_stmt *stmt, int at, const dw__column *column,
                            const json_t *value) {
  if (!value && im->schema < column->since) return DW_OK; /* unbound is NULL */
  if (!value) return wrong(im, column->name, "is missing");
  if (json_is_null(value))
    return column->may_lack ? DW_OK : wrong(im, column->name, "must not be null"); /* unbound is NULL */
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

/* ---- rows ---------------------------------------------------------------------------------------------- */

static const dw__column *column_named(const dw__table *table, const char *name) {
  for (size_t i = 0; i < table->n; i++)
    if (strcmp(table->column[i].name, name) == 0) return &table->column[i];
  return NULL;
}

/* The row of the book that has the entry's natural key; *id 0 when there is none. */
static dw_status find_match(importing *im, const json_t *entry, int64_t *id) {
  const dw__table *table = im->table;
  dw_text sql = {0};
  sqlite3_stmt *stmt = NULL;
  *id = 0;
  if (table->clash == DW__CLASH_NONE) return DW_OK;
  dw_text_add(&sql, "SELECT id FROM %s WHERE %s = ?", table->name, table->match[0]);
  if (table->match[1]) dw_text_add(&sql, " AND %s = ?", table->match[1]);
  if (sql.failed) return dw_fail_memory(im->err, "the import");
  int result = sqlite3_prepare_v2(im->book->db, sql.data, -1, &stmt, NULL);
  dw_status status =
      result == SQLITE_OK ? DW_OK : dw__book_fail(im->book, result, "looking something up", im->err);
  for (int i = 0; i < 2 && status == DW_OK && table->match[i]; i++) {
    const dw__column *column = column_named(table, table->match[i]);
    status = bind_value(im, stmt, i + 1, column, json_object_get(entry, column->name));
  }
  if (status == DW_OK && (result = sqlite3_step(stmt)) == SQLITE_ROW) *id = sqlite3_column_int64(stmt, 0);
  if (status == DW_OK && result != SQLITE_ROW && result != SQLITE_DONE)
    status = dw__book_fail(im->book, result, "looking something up", im->err);
  sqlite3_finalize(stmt);
  dw_text_free(&sql);
  return status;
}

static dw_status keys_check(importing *im, const json_t *entry) {
  const char *key;
  json_t *value;
  if (!json_is_object(entry)) return wrong(im, im->table->title, "holds something that is not an object");
  json_object_foreach((json_t *)entry, key, value) {
    if (strcmp(key, "id") != 0 && !column_named(im->table, key)) {
      char shown[64];
      snprintf(shown, sizeof shown, "%.60s", key);
      return wrong(im, shown, "is not known here");
    }
  }
  return DW_OK;
}

static dw_status insert_row(importing *im, sqlite3_stmt *stmt, const json_t *entry, int64_t from,
                            int64_t *id) {
  sqlite3_reset(stmt);
  sqlite3_clear_bindings(stmt);
  if (im->keep_ids) sqlite3_bind_int64(stmt, 1, from);
  for (size_t i = 0; i < im->table->n; i++) {
    const dw__column *column = &im->table->column[i];
    dw_status status = bind_value(im, stmt, (int)i + 2, column, json_object_get(entry, column->name));
    if (status != DW_OK) return status;
  }
  int result = sqlite3_step(stmt);
  if (result == SQLITE_CONSTRAINT)
    return dw_fail(im->err, DW_BAD_INPUT, "%s: %s, entry %zu is refused: %.200s.", im->name, im->table->title,
                   im->entry, sqlite3_errmsg(im->book->db));
  if (result != SQLITE_DONE) return dw__book_fail(im->book, result, "importing", im->err);
  *id = sqlite3_last_insert_rowid(im->book->db);
  im->done.added++;
  return DW_OK;
}

static dw_status take_row(importing *im, sqlite3_stmt *stmt, const json_t *entry, id_map *map) {
  const json_t *number = json_object_get(entry, "id");
  int64_t from = json_integer_value(number), to = 0;
  dw_status status = keys_check(im, entry);
  if (status != DW_OK) return status;
  if (!json_is_integer(number) || from < 1) return wrong(im, "id", "must be a whole number above 0");
  if (map->n > 0 && map->from[map->n - 1] >= from) return wrong(im, "id", "must rise from entry to entry");
  status = find_match(im, entry, &to);
  if (status == DW_OK && to && im->table->clash == DW__CLASH_REFUSE)
    return dw_fail(im->err, DW_BAD_INPUT,
                   "%s: the book has a %s \"%.60s\" already; rename one of them first.", im->name,
                   im->table->name, json_string_value(json_object_get(entry, im->table->match[0])));
  if (status == DW_OK && to)
    im->done.shared++;
  else if (status == DW_OK)
    status = insert_row(im, stmt, entry, from, &to);
  map->from[map->n] = from;
  map->to[map->n++] = to;
  return status;
}

static dw_status prepare_insert(importing *im, sqlite3_stmt **stmt) {
  dw_text sql = {0};
  dw_text_add(&sql, "INSERT INTO %s (id", im->table->name);
  for (size_t i = 0; i < im->table->n; i++) dw_text_add(&sql, ", %s", im->table->column[i].name);
  dw_text_add(&sql, ") VALUES (?");
  for (size_t i = 0; i < im->table->n; i++) dw_text_add(&sql, ", ?");
  dw_text_add(&sql, ")");
  dw_status status = sql.failed ? dw_fail_memory(im->err, "the import") : DW_OK;
  int result = status == DW_OK ? sqlite3_prepare_v2(im->book->db, sql.data, -1, stmt, NULL) : SQLITE_OK;
  if (result != SQLITE_OK) status = dw__book_fail(im->book, result, "importing", im->err);
  dw_text_free(&sql);
  return status;
}

static dw_status table_empty(importing *im, bool *empty) {
  char sql[96];
  int64_t any = 0;
  snprintf(sql, sizeof sql, "SELECT EXISTS (SELECT 1 FROM %s)", im->table->name);
  dw_status status = dw__book_integer(im->book, &any, "", im->err, sql, "");
  *empty = any == 0;
  return status;
}

static dw_status take_table(importing *im, const json_t *root, size_t index) {
  im->table = &dw__tables[index];
  const json_t *entries = json_object_get(root, im->table->title);
  sqlite3_stmt *stmt = NULL;
  id_map *map = &im->map[index];
  size_t n = json_array_size(entries);
  if (!entries && (im->table->journal || im->schema < im->table->since)) return DW_OK;
  if (!json_is_array(entries))
    return dw_fail(im->err, DW_BAD_INPUT, "%s: \"%s\" must be an array.", im->name, im->table->title);
  if (im->table->of_fit && im->skip_fits) return DW_OK;
  if (im->table->journal && (!im->into_nothing || n == 0)) return DW_OK;
  im->journal = im->journal || im->table->journal;
  map->from = calloc(n + 1, sizeof *map->from);
  map->to = calloc(n + 1, sizeof *map->to);
  dw_status status =
      map->from && map->to ? table_empty(im, &im->keep_ids) : dw_fail_memory(im->err, "the import");
  if (status == DW_OK) status = prepare_insert(im, &stmt);
  for (im->entry = 1; status == DW_OK && im->entry <= n; im->entry++)
    status = take_row(im, stmt, json_array_get(entries, im->entry - 1), map);
  sqlite3_finalize(stmt);
  return status;
}

/* ---- the document -------------------------------------------------------------------------------------- */

static dw_status head_check(importing *im, const json_t *root) {
  const json_t *version = json_object_get(root, "dropwise_export"), *schema = json_object_get(root, "schema");
  const char *key;
  json_t *value;
  if (!json_is_integer(version) || !json_is_integer(schema))
    return dw_fail(im->err, DW_BAD_INPUT, "%s is not an export of a book.", im->name);
  if (json_integer_value(version) > EXPORT_VERSION || json_integer_value(schema) > dw_book_schema_version())
    return dw_fail(im->err, DW_UNSUPPORTED, "%s was written by a newer Dropwise.", im->name);
  im->schema = json_integer_value(schema);
  json_object_foreach((json_t *)root, key, value) {
    bool known = strcmp(key, "dropwise_export") == 0 || strcmp(key, "schema") == 0;
    for (size_t i = 0; i < dw__table_count; i++) known = known || strcmp(key, dw__tables[i].title) == 0;
    if (!known)
      return dw_fail(im->err, DW_BAD_INPUT, "%s: \"%.60s\" is not known in an export.", im->name, key);
  }
  return DW_OK;
}

/* Each fit must hold a shelf that can be read back. */
static dw_status shelf_check(importing *im) {
  dw__query query;
  bool row = true;
  dw_status status = dw__query_open(im->book, "SELECT shelf FROM fit", &query, im->err, "");
  while (status == DW_OK && (status = dw__query_next(&query, &row, im->err)) == DW_OK && row) {
    dw_shelf *shelf = NULL;
    const char *text = dw__query_text(&query, 0);
    status = dw_shelf_parse(text, strlen(text), im->name, &shelf, im->err);
    dw_shelf_free(shelf);
  }
  dw__query_close(&query);
  return status;
}

static dw_status whole_check(importing *im) {
  dw_text found = {0};
  dw_error why = {0};
  dw_status status = im->skip_fits ? DW_OK : shelf_check(im);
  if (status == DW_OK && dw_book_check(im->book, &found, &why) != DW_OK) {
    if (found.data) found.data[strcspn(found.data, "\n")] = '\0';
    status = dw_fail(im->err, DW_BAD_INPUT, "%s does not hold together: %.200s.", im->name,
                     found.data ? found.data : why.text);
  }
  dw_text_free(&found);
  return status;
}

static dw_status find_nothing(importing *im) {
  bool empty = true;
  dw_status status = DW_OK;
  for (size_t i = 0; i < dw__table_count && status == DW_OK && empty; i++) {
    im->table = &dw__tables[i];
    status = table_empty(im, &empty);
  }
  im->into_nothing = empty;
  return status;
}

/* The journal that came along goes on: no id that it speaks of is given again. */
static dw_status end_import(importing *im) {
  static const char sql[] =
      "UPDATE clock SET tick = tick + 1, pattern = (SELECT coalesce(max(pattern), 0) FROM entry),"
      " batch = (SELECT coalesce(max(batch), 0) FROM entry)";
  if (im->journal) {
    dw__journal_end(im->book);
    return dw__book_run(im->book, NULL, im->err, sql, "");
  }
  dw_book_entry_say(im->book, DW_ENTRY_IMPORT, 0, 0, "%zu rows taken in from %.120s", im->done.added,
                    im->name);
  return DW_OK;
}

/* An older export does not say which of its bottles came from the starter shelf. */
static dw_status mark_starter(importing *im, int64_t behind) {
  if (im->schema >= DW__BOOK_STARTER_STEP) return DW_OK;
  return dw__book_run(im->book, NULL, im->err, DW__MARK_STARTER " id > ?", "i", behind);
}

static dw_status take_all(importing *im, const json_t *root) {
  int64_t fits = 0, bottles = 0;
  dw_status status = head_check(im, root);
  if (status == DW_OK) status = find_nothing(im);
  if (status == DW_OK)
    status = dw__book_integer(im->book, &fits, "", im->err,
                              "SELECT EXISTS (SELECT 1 FROM fit) OR EXISTS (SELECT 1 FROM strength)", "");
  im->skip_fits = fits != 0;
  if (status == DW_OK)
    status = dw__book_integer(im->book, &bottles, "", im->err, "SELECT coalesce(max(id), 0) FROM bottle", "");
  for (size_t i = 0; i < dw__table_count && status == DW_OK; i++) status = take_table(im, root, i);
  if (status == DW_OK) status = mark_starter(im, bottles);
  if (status == DW_OK) status = whole_check(im);
  return status == DW_OK ? end_import(im) : status;
}

dw_status dw_book_import(dw_book *book, const char *text, size_t n, const char *name, dw_book_imported *out,
                         dw_error *err) {
  dw_error own;
  json_error_t fault;
  if (n > IMPORT_BYTES_MAX)
    return dw_fail(err, DW_TOO_LARGE, "%s: an export of more than 256 MiB is refused.", name);
  json_t *root = json_loadb(text, n, JSON_REJECT_DUPLICATES, &fault);
  if (!root)
    return dw_fail(err, DW_BAD_INPUT, "%s, line %d is not JSON: %.200s.", name, fault.line, fault.text);
  importing *im = calloc(1, sizeof *im);
  dw_status status = DW_NO_MEMORY;
  if (im) {
    *im = (importing){.book = book, .name = name, .err = err ? err : &own};
    status = take_all(im, root);
    if (status == DW_OK) *out = im->done;
    for (size_t i = 0; i < dw__table_count; i++) {
      free(im->map[i].from);
      free(im->map[i].to);
    }
  } else {
    dw_fail_memory(err, "the import");
  }
  free(im);
  json_decref(root);
  return status;
}
