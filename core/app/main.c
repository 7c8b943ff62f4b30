/* pourtone: finds the command, runs it, turns its status into an exit code and one sentence. */
#include "app/cli/cli.h"

#include <stdlib.h>
#include <string.h>

const cli_command *const cli_commands[] = {
    &cli_read, &cli_compare, &cli_pattern, &cli_target, &cli_tone,    &cli_bottle, &cli_predict, &cli_advise,
    &cli_pour, &cli_drift,   &cli_sheet,   &cli_bench,  &cli_plugins, &cli_book,   NULL,
};

static const cli_command *command_named(const char *name) {
  for (const cli_command *const *c = cli_commands; *c; c++)
    if (strcmp((*c)->name, name) == 0) return *c;
  return NULL;
}

static pt_status run_command(const cli_command *command, int argc, char **argv, pt_error *err) {
  cli_args *args = malloc(sizeof *args);
  if (!args) return pt_fail_memory(err, "the arguments");
  pt_status status = cli_parse(command, argc, argv, args, err);
  if (status == PT_OK && args->help)
    cli_help(command, stdout);
  else if (status == PT_OK)
    status = command->run(args, err);
  free(args);
  return status;
}

int main(int argc, char **argv) {
  pt_error err = {0};
  if (argc < 2) {
    cli_help_all(stderr);
    return pt_status_exit_code(PT_USAGE);
  }
  if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "-h") == 0 || strcmp(argv[1], "help") == 0) {
    cli_help_all(stdout);
    return 0;
  }
  if (strcmp(argv[1], "--version") == 0) {
    printf("pourtone %s\n", PT_VERSION);
    return 0;
  }
  const cli_command *command = command_named(argv[1]);
  pt_status status =
      command ? run_command(command, argc - 2, argv + 2, &err)
              : pt_fail(&err, PT_USAGE, "There is no command \"%.60s\"; see pourtone --help.", argv[1]);
  if (status != PT_OK) fprintf(stderr, "pourtone: %s\n", err.text);
  return pt_status_exit_code(status);
}
