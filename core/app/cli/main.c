/* dropwise: finds the command, runs it, turns its status into an exit code and one sentence. */
#include "app/cli/cli.h"
#include "dropwise/names.h"

#include <string.h>

static const cli_command *const commands[] = {
    &cli_find,    &cli_read,    &cli_compare, &cli_pattern, &cli_target,  &cli_tone,    &cli_bottle,
    &cli_predict, &cli_advise,  &cli_blend,   &cli_pour,    &cli_reading, &cli_batch,   &cli_undo,
    &cli_redo,    &cli_history, &cli_drift,   &cli_sheet,   &cli_bench,   &cli_plugins, &cli_settings,
    &cli_heat,    &cli_mold,    &cli_plan,    &cli_book,    &cli_turn,    &cli_drizzle, NULL,
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

static dw_status help(const char *about, dw_error *err) {
  const cli_command *command = about ? command_named(about) : NULL;
  if (about && !command) return lacks_command(about, err);
  if (command)
    cli_help(command, stdout);
  else
    cli_help_all(commands, stdout);
  return cli_printed(err);
}

/* The options before the command's name go behind it, in their order. */
static dw_status run(int argc, char **argv, dw_error *err) {
  int at;
  dw_status status = cli_find_command(argc, argv, &at, err);
  if (status != DW_OK) return status;
  if (strcmp(argv[at], "help") == 0) return help(argv[at + 1], err);
  const cli_command *command = command_named(argv[at]);
  if (!command) return lacks_command(argv[at], err);
  for (; at > 1; at--) argv[at] = argv[at - 1];
  return cli_run(command, argc - 2, argv + 2, err);
}

static bool is(const char *word, const char *one, const char *other) {
  return strcmp(word, one) == 0 || strcmp(word, other) == 0;
}

int main(int argc, char **argv) {
  dw_error err = {0};
  dw_status status;
  cli_hold_streams();
  if (argc < 2) {
    cli_help_all(commands, stderr);
    return dw_status_exit_code(DW_USAGE);
  }
  if (is(argv[1], "--help", "-h")) {
    status = help(NULL, &err);
  } else if (is(argv[1], "--version", "-V")) {
    printf("dropwise %s\n", DW_VERSION);
    status = cli_printed(&err);
  } else {
    status = run(argc, argv, &err);
  }
  return cli_exit(status, &err);
}
