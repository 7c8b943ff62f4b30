#include "app/cli/cli.h"

#include <stdlib.h>

static const cli_option options[] = {{NULL, NULL, NULL}};

static pt_status run(const cli_args *args, pt_error *err) {
  pt_plugins *plugins = malloc(sizeof *plugins);
  pt_status status = plugins ? cli_words(args, 0, 0, "", err) : pt_fail_memory(err, "the list of plugins");
  if (status == PT_OK) status = cli_find_plugins(args, plugins, err);
  if (status == PT_OK && args->json) {
    status = cli_print_json(pt_json_plugins(plugins), err);
  } else if (status == PT_OK) {
    pt_text text = {0};
    pt_text_plugins(plugins, &text);
    status = cli_print_text(&text, err);
  }
  free(plugins);
  return status;
}

const cli_command cli_plugins = {
    .name = "plugins",
    .summary = "which plugins are there, from where, and which were refused and why",
    .usage = "[--plugins DIR]...",
    .about =
        "A plugin is a shared object that advises. Each runs in a process of its own, with a time limit.",
    .example = "pourtone plugins --plugins ./build/plugins",
    .options = options,
    .run = run,
};
