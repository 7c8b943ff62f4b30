/* How the shop works, what was done, and a copy of the book to take away. */
#include "app/bench/request.h"
#include "app/bench/settings.h"
#include "app/bench/transaction.h"
#include "dropwise/report.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* ---- settings ------------------------------------------------------------------------------------------ */

dw_status dw__settings_in(dw_bench *bench, dw_settings *out, dw_error *err) {
  dw_status status = dw_book_settings_get(bench->book, out, NULL, err);
  if (status == DW_OK && bench->units_said) out->units = bench->units;
  return status;
}

dw_status dw__units_in(dw_bench *bench, dw_units *out, dw_error *err) {
  dw_settings settings;
  dw_status status = dw__settings_in(bench, &settings, err);
  if (status == DW_OK) *out = settings.units;
  return status;
}

dw_status dw__units_now(dw_bench *bench, dw_units *out, dw_error *err) {
  dw_status status = dw__book_begin_reading(bench, err);
  return status == DW_OK ? dw__book_end(bench, dw__units_in(bench, out, err), err) : status;
}

dw_status dw__settings_json(dw_bench *bench, json_t **out, dw_error *err) {
  bool is_set[DW_SETTINGS_COUNT];
  dw_settings own;
  json_t *values = json_object(), *set = json_array();
  dw_status status = dw_book_settings_get(bench->book, &own, is_set, err);
  for (size_t i = 0; i < DW_SETTINGS_COUNT && status == DW_OK; i++) {
    char value[DW_SETTING_ROOM];
    dw_setting_format(&own, i, value, sizeof value);
    values = dw_json_with(values, dw_setting_name(i), json_string(value));
    if (is_set[i]) set = dw_json_and(set, json_string(dw_setting_name(i)));
  }
  *out = json_pack("{s:o, s:o}", "settings", values, "set", set);
  return status == DW_OK && !*out ? dw_fail_memory(err, "the settings") : status;
}

dw_status dw__settings_get(dw__exchange *x, dw_error *err) {
  dw_status status = dw__book_begin_reading(x->bench, err);
  return status == DW_OK ? dw__book_end(x->bench, dw__settings_json(x->bench, &x->json, err), err) : status;
}

static dw_status change(dw_book *book, json_t *wanted, dw_error *err) {
  const char *name;
  json_t *value;
  dw_status status = DW_OK;
  json_object_foreach(wanted, name, value) {
    if (!json_is_string(value) && !json_is_null(value))
      status = dw_fail(err, DW_USAGE, "\"%.40s\" must be text, or null for what is usual.", name);
    else
      status = dw_book_setting_set(book, name, json_string_value(value), err);
    if (status == DW_NOT_FOUND) status = DW_USAGE;
    if (status != DW_OK) return status;
  }
  return status;
}

dw_status dw__settings_patch(dw__exchange *x, dw_error *err) {
  dw_status status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  status = change(x->bench->book, x->body, err);
  if (status == DW_OK) status = dw__settings_json(x->bench, &x->json, err);
  status = dw__book_end(x->bench, status, err);
  if (status == DW_OK && json_object_get(x->body, "units")) x->bench->units_said = false;
  return status;
}

/* ---- what was done ------------------------------------------------------------------------------------- */

enum { HISTORY_MOST = 200 };

static dw_status history(dw__exchange *x, int pattern, int most, dw_error *err) {
  dw_entry *list = NULL;
  size_t n = 0;
  json_t *entries = json_array();
  dw_status status = dw_entry_list(x->bench->book, pattern, (size_t)most, &list, &n, err);
  for (size_t i = 0; i < n; i++) entries = dw_json_and(entries, dw_json_entry(&list[i]));
  free(list);
  x->json = json_pack("{s:o}", "entries", entries);
  return status == DW_OK && !x->json ? dw_fail_memory(err, "the history") : status;
}

dw_status dw__history_get(dw__exchange *x, dw_error *err) {
  int pattern, most;
  dw_status status = dw__query_int(x, "pattern", 0, INT32_MAX, 0, &pattern, err);
  if (status == DW_OK) status = dw__query_int(x, "most", 1, HISTORY_MOST, 30, &most, err);
  if (status == DW_OK) status = dw__book_begin_reading(x->bench, err);
  return status == DW_OK ? dw__book_end(x->bench, history(x, pattern, most, err), err) : status;
}

/* ---- a copy of the book -------------------------------------------------------------------------------- */

enum { BACKUP_MAX_BYTES = 1 << 30 };

/* The copy is made beside the book, where there is room for it, and goes once it is read. */
static dw_status copy_book(dw_bench *bench, const char *folder, char **out, size_t *n, dw_error *err) {
  char path[4096];
  if (snprintf(path, sizeof path, "%s/copy", folder) >= (int)sizeof path)
    return dw_fail(err, DW_TOO_LARGE, "The book lies too deep in its folders to be copied.");
  pthread_mutex_lock(&bench->book_lock);
  dw_status status = dw_book_backup(bench->book, path, err);
  pthread_mutex_unlock(&bench->book_lock);
  if (status == DW_OK) status = dw_file_read(path, BACKUP_MAX_BYTES, out, n, err);
  unlink(path);
  return status;
}

dw_status dw__backup_get(dw__exchange *x, dw_error *err) {
  char folder[4096];
  if (snprintf(folder, sizeof folder, "%s.backup-XXXXXX", dw_book_path(x->bench->book)) >= (int)sizeof folder)
    return dw_fail(err, DW_TOO_LARGE, "The book lies too deep in its folders to be copied.");
  if (!mkdtemp(folder))
    return dw_fail(err, DW_IO, "The book can't be copied beside itself: %s.", strerror(errno));
  dw_status status = copy_book(x->bench, folder, &x->bytes, &x->n, err);
  rmdir(folder);
  x->type = "application/vnd.sqlite3";
  x->file_name = "dropwise-book.db";
  return status;
}
