/* An export taken in: every value checked, every reference mapped to the row it became. */
#include "book/entries.h"
#include "book/importing.h"
#include "book/schema.h"
#include "book/works.h"
#include "dropwise/json.h"

#include <stdlib.h>
#include <string.h>

enum { IMPORT_BYTES_MAX = 256 << 20, EXPORT_VERSION = 1 };

/* ---- rows ---------------------------------------------------------------------------------------------- */

static const dw__column *column_named(const dw__table *table, const char *name) {
  for (size_t i = 0; i < table->n; i++)
    if (strcmp(table->column[i].name, name) == 0) return &table->column[i];
  return NULL;
}

/* The row of the book that has the entry's natural key; *id 0 when there is none. */
static dw_status find_match(dw__importing *im, const json_t *entry, int64_t *id) {
  const dw__table *table = im->table;
  dw_text sql = {0};
  sqlite3_stmt *stmt = NULL;
  *id = 0;
  if (table->clash == DW__CLASH_NONE) return DW_OK;
  dw_text_add(&sql, "SELECT id FROM %s WHERE %s = ?", table->name, table->match[0]);
  for (int i = 1; i < DW__MATCH_MAX && table->match[i]; i++)
    dw_text_add(&sql, " AND %s = ?", table->match[i]);
  if (sql.failed) return dw_fail_memory(im->err, "the import");
  im->book->worked = 0;
  int result = sqlite3_prepare_v2(im->book->db, sql.data, -1, &stmt, NULL);
  dw_status status =
      result == SQLITE_OK ? DW_OK : dw__book_fail(im->book, result, "looking something up", im->err);
  for (int i = 0; i < DW__MATCH_MAX && status == DW_OK && table->match[i]; i++) {
    const dw__column *column = column_named(table, table->match[i]);
    status = dw__import_bind(im, stmt, i + 1, column, json_object_get(entry, column->name));
  }
  if (status == DW_OK && (result = sqlite3_step(stmt)) == SQLITE_ROW) *id = sqlite3_column_int64(stmt, 0);
  if (status == DW_OK && result != SQLITE_ROW && result != SQLITE_DONE)
    status = dw__book_fail(im->book, result, "looking something up", im->err);
  sqlite3_finalize(stmt);
  dw_text_free(&sql);
  return status;
}

static dw_status keys_check(dw__importing *im, const json_t *entry) {
  const char *key;
  json_t *value;
  if (!json_is_object(entry))
    return dw__import_wrong(im, im->table->title, "holds something that is not an object");
  json_object_foreach((json_t *)entry, key, value) {
    if (strcmp(key, "id") != 0 && !column_named(im->table, key)) {
      char shown[64];
      snprintf(shown, sizeof shown, "%.60s", key);
      return dw__import_wrong(im, shown, "is not known here");
    }
  }
  return DW_OK;
}

static dw_status insert_row(dw__importing *im, sqlite3_stmt *stmt, const json_t *entry, int64_t from,
                            int64_t *id) {
  im->book->worked = 0;
  sqlite3_reset(stmt);
  sqlite3_clear_bindings(stmt);
  if (im->keep_ids) sqlite3_bind_int64(stmt, 1, from);
  for (size_t i = 0; i < im->table->n; i++) {
    const dw__column *column = &im->table->column[i];
    dw_status status = dw__import_bind(im, stmt, (int)i + 2, column, json_object_get(entry, column->name));
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

static dw_status take_row(dw__importing *im, sqlite3_stmt *stmt, const json_t *entry, dw__id_map *map) {
  const json_t *number = json_object_get(entry, "id");
  int64_t from = json_integer_value(number), to = 0;
  dw_status status = keys_check(im, entry);
  if (status != DW_OK) return status;
  if (!json_is_integer(number) || from < 1)
    return dw__import_wrong(im, "id", "must be a whole number above 0");
  if (map->n > 0 && map->from[map->n - 1] >= from)
    return dw__import_wrong(im, "id", "must rise from entry to entry");
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

static dw_status prepare_insert(dw__importing *im, sqlite3_stmt **stmt) {
  dw_text sql = {0};
  dw_text_add(&sql, "INSERT INTO %s (id", im->table->aside ? im->table->aside : im->table->name);
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

static dw_status table_empty(dw__importing *im, bool *empty) {
  char sql[96];
  int64_t any = 0;
  *empty = true;
  if (im->table->until) return DW_OK;
  snprintf(sql, sizeof sql, "SELECT EXISTS (SELECT 1 FROM %s)", im->table->name);
  dw_status status = dw__book_integer(im->book, &any, "", im->err, sql, "");
  *empty = any == 0;
  return status;
}

/* A table of this connection alone, until end_import. */
static dw_status make_aside(dw__importing *im) {
  dw_text sql = {0};
  dw_text_add(&sql, "CREATE TEMP TABLE %s (id INTEGER PRIMARY KEY", im->table->aside);
  for (size_t i = 0; i < im->table->n; i++) dw_text_add(&sql, ", %s", im->table->column[i].name);
  dw_text_add(&sql, ")");
  dw_status status = sql.failed ? dw_fail_memory(im->err, "the import")
                                : dw__book_run(im->book, NULL, im->err, sql.data, "");
  dw_text_free(&sql);
  return status;
}

/* What the document has of the table and the book wants to have. */
static bool wanted(const dw__importing *im, size_t n) {
  const dw__table *table = im->table;
  if (table->moved && im->schema >= table->moved) return false;
  if (table->of_fit && im->skip_fits) return false;
  return !table->journal || (im->into_nothing && n > 0);
}

static dw_status take_table(dw__importing *im, const json_t *root, size_t index) {
  im->table = &dw__tables[index];
  const json_t *entries = json_object_get(root, im->table->title);
  sqlite3_stmt *stmt = NULL;
  dw__id_map *map = &im->map[index];
  size_t n = json_array_size(entries);
  bool gone = im->table->until && im->schema >= im->table->until;
  if (!entries && (gone || im->table->journal || im->schema < im->table->since)) return DW_OK;
  if (gone)
    return dw_fail(im->err, DW_BAD_INPUT, "%s: \"%s\" is not known in an export.", im->name,
                   im->table->title);
  if (!json_is_array(entries))
    return dw_fail(im->err, DW_BAD_INPUT, "%s: \"%s\" must be an array.", im->name, im->table->title);
  if (!wanted(im, n)) return DW_OK;
  im->journal = im->journal || im->table->journal;
  map->from = calloc(n + 1, sizeof *map->from);
  map->to = calloc(n + 1, sizeof *map->to);
  dw_status status =
      map->from && map->to ? table_empty(im, &im->keep_ids) : dw_fail_memory(im->err, "the import");
  if (status == DW_OK && im->table->aside) status = make_aside(im);
  if (status == DW_OK) status = prepare_insert(im, &stmt);
  for (im->entry = 1; status == DW_OK && im->entry <= n; im->entry++)
    status = take_row(im, stmt, json_array_get(entries, im->entry - 1), map);
  sqlite3_finalize(stmt);
  return status;
}

/* ---- the document -------------------------------------------------------------------------------------- */

static dw_status head_check(dw__importing *im, const json_t *root) {
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
static dw_status shelf_check(dw__importing *im) {
  dw__query query;
  bool row = true;
  dw_status status = dw__query_open(im->book, "SELECT shelf FROM fit", &query, im->err, "");
  while (status == DW_OK && (status = dw__query_next(&query, &row, im->err)) == DW_OK && row) {
    dw_shelf *shelf = NULL;
    const char *text = dw__query_text(&query, 0);
    status = dw__query_whole(&query, im->err);
    if (status == DW_OK) status = dw_shelf_parse(text, strlen(text), im->name, &shelf, im->err);
    dw_shelf_free(shelf);
  }
  dw__query_close(&query);
  return status;
}

static dw_status whole_check(dw__importing *im) {
  dw_text found = {0};
  dw_status status = im->skip_fits ? DW_OK : shelf_check(im);
  if (status == DW_OK) status = dw_book_check(im->book, &found, im->err);
  if (status == DW_CORRUPT) {
    if (found.data) found.data[strcspn(found.data, "\n")] = '\0';
    status = dw_fail(im->err, DW_BAD_INPUT, "%s does not hold together: %.200s.", im->name,
                     found.data ? found.data : im->err->text);
  }
  dw_text_free(&found);
  return status;
}

static dw_status find_nothing(dw__importing *im) {
  bool empty = true;
  dw_status status = DW_OK;
  for (size_t i = 0; i < dw__table_count && status == DW_OK && empty; i++) {
    im->table = &dw__tables[i];
    status = table_empty(im, &empty);
  }
  im->into_nothing = empty;
  return status;
}

/* What was put aside is taken on by those who bring older books up to date. */
static dw_status take_aside(dw__importing *im) {
  size_t works = 0;
  bool older = im->schema >= 4 && im->schema < DW__BOOK_BENCH_STEP;
  dw_status status = older ? dw__works_move(im->book, &works, im->err) : DW_OK;
  if (status == DW_OK && older) status = dw__book_run(im->book, NULL, im->err, "DROP TABLE temp.work", "");
  if (status == DW_OK && im->journal) status = dw__entries_take(im->book, works > 0, im->err);
  if (status == DW_OK && im->journal)
    status = dw__book_run(im->book, NULL, im->err, "DROP TABLE temp.entry_text", "");
  return status;
}

/* The journal that came along goes on: no id that it speaks of is given again. */
static dw_status end_import(dw__importing *im) {
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
static dw_status mark_starter(dw__importing *im, int64_t behind) {
  if (im->schema >= DW__BOOK_STARTER_STEP) return DW_OK;
  return dw__book_run(im->book, NULL, im->err, DW__MARK_STARTER " id > ?", "i", behind);
}

static dw_status take_all(dw__importing *im, const json_t *root) {
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
  if (status == DW_OK) status = take_aside(im);
  if (status == DW_OK) status = whole_check(im);
  return status == DW_OK ? end_import(im) : status;
}

dw_status dw_book_import(dw_book *book, const char *text, size_t n, const char *name, dw_book_imported *out,
                         dw_error *err) {
  dw_error own;
  if (n > IMPORT_BYTES_MAX)
    return dw_fail(err, DW_TOO_LARGE, "%s: an export of more than 256 MiB is refused.", name);
  json_t *root = NULL;
  dw_status status = dw_json_parse(text, n, name, &root, err);
  if (status != DW_OK) return status;
  dw__importing *im = calloc(1, sizeof *im);
  if (im) {
    *im = (dw__importing){.book = book, .name = name, .err = err ? err : &own};
    status = take_all(im, root);
    if (status == DW_OK) *out = im->done;
    for (size_t i = 0; i < dw__table_count; i++) {
      free(im->map[i].from);
      free(im->map[i].to);
    }
  } else {
    status = dw_fail_memory(err, "the import");
  }
  free(im);
  json_decref(root);
  return status;
}
