/* dropwise settings */
#include "app/cli/book.h"
#include "dropwise/book_settings.h"

#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--unset", NULL, "back to what it is when nobody set it"},
    {NULL, NULL, NULL},
};

static void text_setting(const dw_settings *own, size_t i, bool is_set, dw_text *out) {
  char value[DW_SETTING_ROOM];
  dw_setting_format(own, i, value, sizeof value);
  dw_text_add(out, "%-12s %-10s %s%s\n", dw_setting_name(i), value, is_set ? "" : "(not set) ",
              dw_setting_takes(i));
}

static const char *number_text(double value, char out[DW_SETTING_ROOM]) {
  snprintf(out, DW_SETTING_ROOM, "%.15g", value);
  return out;
}

/* One, or all (DW_SETTINGS_COUNT) with the numbers of plugins that are set. */
static dw_status say(const cli_args *args, const dw_settings *own, const bool *is_set, size_t only,
                     dw_error *err) {
  dw_text text = {0};
  char number[DW_SETTING_ROOM];
  json_t *values = json_object(), *set = json_array();
  for (size_t i = 0; i < DW_SETTINGS_COUNT; i++) {
    char value[DW_SETTING_ROOM];
    if (only < DW_SETTINGS_COUNT && i != only) continue;
    dw_setting_format(own, i, value, sizeof value);
    values = dw_json_with(values, dw_setting_name(i), json_string(value));
    if (is_set[i]) set = dw_json_and(set, json_string(dw_setting_name(i)));
    text_setting(own, i, is_set[i], &text);
  }
  for (size_t i = 0; i < own->numbers.n && only == DW_SETTINGS_COUNT; i++) {
    const char *name = own->numbers.of[i].name;
    values = dw_json_with(values, name, dw_json_text(number_text(own->numbers.of[i].value, number)));
    set = dw_json_and(set, dw_json_text(name));
    dw_text_add(&text, "%-12s %-10s a number of a plugin; see dropwise plugins\n", name, number);
  }
  return cli_say(args, json_pack("{s:o, s:o}", "settings", values, "set", set), &text, err);
}

static dw_status index_of(const char *name, size_t *out, dw_error *err) {
  dw_settings any = dw_settings_default();
  for (*out = 0; *out < DW_SETTINGS_COUNT; ++*out)
    if (strcmp(dw_setting_name(*out), name) == 0) return DW_OK;
  return dw_setting_parse(name, "", &any, err); /* which words it: there is none of that name */
}

static dw_status change(const cli_args *args, const char *name, const char *value, dw_settings *out,
                        bool *is_set, dw_error *err) {
  dw_book *book = NULL;
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_book_setting_set(book, name, value, err);
  if (status == DW_OK) status = dw_book_settings_get(book, out, is_set, err);
  return cli_book_keep(args, "The setting was kept", book, status, err);
}

/* ---- a number of a plugin ------------------------------------------------------------------------------ */

static dw_status say_number(const cli_args *args, const char *name, const dw_plugin_entry_info *plugin,
                            size_t i, const dw_settings *own, dw_error *err) {
  const bool is_set = dw_numbers_find(&own->numbers, name) != NULL;
  char number[DW_SETTING_ROOM] = "";
  dw_text text = {0};
  json_t *values = json_object(), *set = json_array();
  if (plugin) {
    const dw_parameter_info *p = &plugin->parameter[i];
    number_text(dw_parameter_value(plugin, i, &own->numbers), number);
    dw_text_add(&text, "%-12s %-10s %s%g to %g, usually %g: %s\n", name, number, is_set ? "" : "(not set) ",
                p->least, p->most, p->usual, p->words);
    values = dw_json_with(values, name, json_string(number));
  } else {
    dw_text_add(&text, "%s is not kept any more.\n", name);
  }
  if (is_set) set = dw_json_and(set, dw_json_text(name));
  return cli_say(args, json_pack("{s:o, s:o}", "settings", values, "set", set), &text, err);
}

/* Of a plugin that is gone nothing can be set, only what is kept for it be taken out. */
static dw_status change_number(const cli_args *args, const char *name, const char *value, bool unset,
                               const dw_plugins *plugins, dw_error *err) {
  size_t plugin, i;
  double number;
  bool is_set[DW_SETTINGS_COUNT];
  dw_settings own;
  dw_status status = cli_settings_load(args, &own, is_set, err);
  if (status != DW_OK) return status;
  status = dw_parameter_find(plugins, name, &plugin, &i, err);
  const dw_plugin_entry_info *entry = status == DW_OK ? &plugins->entry[plugin] : NULL;
  if (!entry && (!unset || !dw_numbers_find(&own.numbers, name))) return status;
  status = value ? dw_parameter_parse(entry, i, value, &number, err) : DW_OK;
  if (status == DW_OK && (value || unset)) status = change(args, name, value, &own, is_set, err);
  return status == DW_OK ? say_number(args, name, entry, i, &own, err) : status;
}

static dw_status run_number(const cli_args *args, const char *name, const char *value, bool unset,
                            dw_error *err) {
  dw_plugins *plugins = malloc(sizeof *plugins);
  dw_status status =
      plugins ? cli_find_plugins(args, plugins, err) : dw_fail_memory(err, "the list of plugins");
  if (status == DW_OK) status = change_number(args, name, value, unset, plugins, err);
  free(plugins);
  return status;
}

static dw_status run(const cli_args *args, dw_error *err) {
  const char *name = args->n_words > 0 ? args->word[0] : NULL;
  const char *value = args->n_words > 1 ? args->word[1] : NULL;
  bool is_set[DW_SETTINGS_COUNT] = {false}, unset = cli_has(args, "--unset");
  dw_settings own = dw_settings_default();
  size_t only = DW_SETTINGS_COUNT;
  dw_status status = cli_words(args, 0, 2, "at most a setting's name and its value", err);
  if (status == DW_OK && unset && (!name || value))
    status = dw_fail(err, DW_USAGE, "Write: dropwise settings NAME --unset");
  if (status == DW_OK && name && dw_setting_is_number(name)) return run_number(args, name, value, unset, err);
  if (status == DW_OK && name) status = index_of(name, &only, err);
  /* A wrong value makes no book. */
  if (status == DW_OK && value) status = dw_setting_parse(name, value, &own, err);
  if (status == DW_OK)
    status = value || unset ? change(args, name, value, &own, is_set, err)
                            : cli_settings_load(args, &own, is_set, err);
  return status == DW_OK ? say(args, &own, is_set, only, err) : status;
}

const cli_command cli_settings = {
    .name = "settings",
    .summary = "units, usual volume, most drops and bottles, step, kept in the book",
    .usage = "[NAME [VALUE | --unset]]",
    .about =
        "Lists them all, shows one, or sets it; every command that works on this book goes by them, and an\n"
        "option given to a command goes before. Each change is an entry that undo takes back. A name such "
        "as\n"
        "apart.least is a number that a plugin takes; dropwise plugins lists them.",
    .example = "dropwise settings volume 3floz",
    .options = options,
    .run = run,
};
