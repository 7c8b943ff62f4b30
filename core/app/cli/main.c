/* dropwise: finds the command, runs it, turns its status into an exit code and one sentence. */
#include "app/cli/cli.h"
#include "dropwise/names.h"

#include <string.h>

static const cli_command *const commands[] = {
    &cli_read,   &cli_compare, &cli_pattern, &cli_target,  &cli_tone, &cli_bottle, &cli_predict,
    &cli_advise, &cli_blend,   &cli_pour,    &cli_reading, &cli_undo, &cli_redo,   &cli_history,
    &cli_drift,  &cli_sheet,   &cli_bench,   &cli_plugins, &cli_book, NULL,
};

static const cli_command *command_named(const char *name) {
  for (const cli_command *const *c = commands; *c; c++)
    if (strcmp((*c)->name, name) == 0) return *c;
  return NULL;
}

static dw_status lacks_command(const char *name, dw_error *err) {
  dw_nearest nearest = {.word = name};
  char meant[DW_NEAREST_WORDS_ROOM];
  for (const cli_command *const *c = commands; *c; c++) dw_nearest_offer(&nearest, (*c)->name);
  dw_nearest_words(&nearest, meant);
  return dw_fail(err, DW_USAGE, "There is no command \"%.60s\".%s See dropwise --help.", name, meant);
}

int main(int argc, char **argv) {
  dw_error err = {0};
  cli_hold_streams();
  if (argc < 2) {
    cli_help_all(commands, stderr);
    return dw_status_exit_code(DW_USAGE);
  }
  if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0 || strcmp(argv[1], "help") == 0) {
    cli_help_all(commands, stdout);
    return 0;
  }
  if (strcmp(argv[1], "--version") == 0) {
    printf("dropwise %s\n", DW_VERSION);
    return 0;
  }
  const cli_command *command = command_named(argv[1]);
  dw_status status = command ? cli_run(command, argc - 2, argv + 2, &err) : lacks_command(argv[1], &err);
  return cli_exit(status, &err);
}
