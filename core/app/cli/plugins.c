#include "app/cli/cli.h"

#include <stdlib.h>

static const cli_option options[] = {
    {"--check", "FILE", "run the contract test on this plugin; exit with 1 when it fails"},
    {NULL, NULL, NULL},
};

static dw_status print_checks(const cli_args *args, const dw_plugin_checks *checks, dw_error *err) {
  dw_text text = {0};
  if (args->json) return cli_print_json(dw_json_plugin_checks(checks), err);
  dw_text_plugin_checks(checks, &text);
  return cli_print_text(&text, err);
}

static dw_status check(const cli_args *args, dw_error *err) {
  dw_plugin_checks *checks = malloc(sizeof *checks);
  if (!checks) return dw_fail_memory(err, "the checks");
  dw_status status = dw_plugin_check_file(cli_value(args, "--check"), 0, NULL, NULL, checks, err);
  if (status == DW_OK) status = print_checks(args, checks, err);
  if (status == DW_OK && checks->n_passed < checks->n)
    status = dw_fail(err, DW_REFUSED, "%zu of %zu checks failed.", checks->n - checks->n_passed, checks->n);
  free(checks);
  return status;
}

static dw_status run(const cli_args *args, dw_error *err) {
  dw_status status = cli_words(args, 0, 0, "", err);
  if (status != DW_OK || cli_has(args, "--check")) return status == DW_OK ? check(args, err) : status;
  dw_plugins *plugins = malloc(sizeof *plugins);
  if (!plugins) return dw_fail_memory(err, "the list of plugins");
  status = cli_find_plugins(args, plugins, err);
  if (status == DW_OK && args->json) {
    status = cli_print_json(dw_json_plugins(plugins, &args->settings.numbers), err);
  } else if (status == DW_OK) {
    dw_text text = {0};
    dw_text_plugins(plugins, &args->settings.numbers, &text);
    status = cli_print_text(&text, err);
  }
  free(plugins);
  return status;
}

const cli_command cli_plugins = {
    .name = "plugins",
    .summary = "which plugins are there, from where, and which were refused and why",
    .usage = "[--plugins DIR]... | --check FILE",
    .about = "A plugin is a shared object that advises. Each runs in a process of its own, with a time "
             "limit. They are\n"
             "looked for in the folders of --plugins, then in the maker's own "
             "($XDG_DATA_HOME/dropwise/plugins, usually\n"
             "~/.local/share/dropwise/plugins), then beside the program; of two with one id the first found "
             "is used.",
    .example = "dropwise plugins --plugins ./build/plugins",
    .options = options,
    .run = run,
    .settings = true,
};
