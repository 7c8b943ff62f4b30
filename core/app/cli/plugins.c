#include "app/cli/cli.h"

#include <stdlib.h>

static const cli_option options[] = {{NULL, NULL, NULL}};

static dw_status run(const cli_args *args, dw_error *err) {
  dw_plugins *plugins = malloc(sizeof *plugins);
  dw_status status = plugins ? cli_words(args, 0, 0, "", err) : dw_fail_memory(err, "the list of plugins");
  if (status == DW_OK) status = cli_find_plugins(args, plugins, err);
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
    .usage = "[--plugins DIR]...",
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
