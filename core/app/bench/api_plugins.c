/* Plugins on the page: which there are, and the numbers that they let the maker set. */
#include "app/bench/plugins_json.h"
#include "app/bench/transaction.h"
#include "dropwise/book_settings.h"
#include "dropwise/json.h"
#include "dropwise/report.h"

dw_status dw__plugins_json(dw_bench *bench, json_t *root, dw_error *err) {
  dw_settings own;
  dw_status status = dw_book_settings_get(bench->book, &own, NULL, err);
  if (status != DW_OK) return status;
  json_t *list = json_array();
  for (size_t i = 0; i < bench->plugins.n; i++) {
    const dw_plugin_entry_info *e = &bench->plugins.entry[i];
    list = dw_json_and(list, json_pack("{s:s, s:s, s:b, s:o, s:s}", "id", e->id, "title", e->title, "usable",
                                       e->usable, "parameters", dw_json_parameters(e, &own.numbers), "why",
                                       e->why));
  }
  return json_object_set_new(root, "plugins", list) == 0 ? DW_OK : dw_fail_memory(err, "the plugins");
}

/* One number of a plugin, or null: back to what is usual. */
static dw_status number_set(dw_bench *bench, const char *id, const char *key, const json_t *value,
                            dw_error *err) {
  char name[DW_NUMBER_NAME_ROOM], text[DW_SETTING_ROOM];
  size_t plugin, i;
  double number;
  int n = snprintf(name, sizeof name, "%s.%s", id, key);
  if (n < 0 || (size_t)n >= sizeof name)
    return dw_fail(err, DW_USAGE, "\"%.60s\" is no number of a plugin.", key);
  dw_status status = dw_parameter_find(&bench->plugins, name, &plugin, &i, err);
  if (status != DW_OK || json_is_null(value))
    return status == DW_OK ? dw_book_setting_set(bench->book, name, NULL, err) : status;
  if (!json_is_number(value)) return dw_fail(err, DW_USAGE, "\"%.60s\" must be a number or null.", key);
  snprintf(text, sizeof text, "%.15g", json_number_value(value));
  status = dw_parameter_parse(&bench->plugins.entry[plugin], i, text, &number, err);
  return status == DW_OK ? dw_book_setting_set(bench->book, name, text, err) : status;
}

dw_status dw__plugin_patch(dw__exchange *x, dw_error *err) {
  const char *key;
  const json_t *value;
  json_t *values = json_object_get(x->body, "values");
  if (!json_is_object(values))
    return dw_fail(err, DW_USAGE, "\"values\" must be an object of numbers by their names.");
  x->json = json_object();
  if (!x->json) return dw_fail_memory(err, "the answer");
  dw_status status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  json_object_foreach(values, key, value) {
    if (status == DW_OK) status = number_set(x->bench, x->part[0], key, value, err);
  }
  if (status == DW_OK) status = dw__plugins_json(x->bench, x->json, err);
  return dw__book_end(x->bench, status, err);
}
