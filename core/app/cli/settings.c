/* dropwise settings */
#include "app/cli/book.h"
#include "dropwise/book_settings.h"

#include <string.h>
#include <unistd.h>

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

/* One, or all (DW_SETTINGS_COUNT). */
static dw_status say(const cli_args *args, const dw_settings *own, const bool *is_set, size_t only,
                     dw_error *err) {
  dw_text text = {0};
  json_t *values = json_object(), *set = json_array();
  for (size_t i = 0; i < DW_SETTINGS_COUNT; i++) {
    char value[DW_SETTING_ROOM];
    if (only < DW_SETTINGS_COUNT && i != only) continue;
    dw_setting_format(own, i, value, sizeof value);
    values = dw_json_with(values, dw_setting_name(i), json_string(value));
    if (is_set[i]) set = dw_json_and(set, json_string(dw_setting_name(i)));
    text_setting(own, i, is_set[i], &text);
  }
  return cli_say(args, json_pack("{s:o, s:o}", "settings", values, "set", set), &text, err);
}

static dw_status index_of(const char *name, size_t *out, dw_error *err) {
  dw_settings any = dw_settings_default();
  for (*out = 0; *out < DW_SETTINGS_COUNT; ++*out)
    if (strcmp(dw_setting_name(*out), name) == 0) return DW_OK;
  return dw_setting_parse(name, "", &any, err); /* which words it: there is none of that name */
}

/* Without a book, or with one of an older program, nothing is set. */
static dw_status load(const cli_args *args, dw_settings *out, bool *is_set, dw_error *err) {
  char path[4096];
  dw_book *book = NULL;
  *out = dw_settings_default();
  dw_status status = cli_book_path(args, path, sizeof path, err);
  if (status != DW_OK || access(path, F_OK) != 0) return status;
  status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_book_settings_get(book, out, is_set, err);
  dw_book_close(book);
  return status;
}

static dw_status change(const cli_args *args, const char *name, const char *value, dw_settings *out,
                        bool *is_set, dw_error *err) {
  dw_book *book = NULL;
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = dw_book_setting_set(book, name, value, err);
  if (status == DW_OK) status = dw_book_settings_get(book, out, is_set, err);
  return cli_book_keep(args, "The setting was kept", book, status, err);
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
  if (status == DW_OK && name) status = index_of(name, &only, err);
  /* A wrong value makes no book. */
  if (status == DW_OK && value) status = dw_setting_parse(name, value, &own, err);
  if (status == DW_OK)
    status = value || unset ? change(args, name, value, &own, is_set, err) : load(args, &own, is_set, err);
  return status == DW_OK ? say(args, &own, is_set, only, err) : status;
}

const cli_command cli_settings = {
    .name = "settings",
    .summary = "units, usual volume, most drops and bottles, step, kept in the book",
    .usage = "[NAME [VALUE | --unset]]",
    .about =
        "Lists them all, shows one, or sets it; every command that works on this book goes by them, and an\n"
        "option given to a command goes before. Each change is an entry that undo takes back.",
    .example = "dropwise settings volume 3floz",
    .options = options,
    .run = run,
};
