/* The help: of the program, and of each command from its table of options. */
#include "app/cli/cli.h"

#include <string.h>

const cli_option cli_common_options[] = {
    {"--json", NULL, "print one JSON document and nothing else"},
    {"--book", "FILE", "the book to use; default in the user's data folder"},
    {"--plugins", "DIR", "look for plugins here, too, and here first; may be repeated"},
    {"--metric", NULL, "milliliters and degrees Celsius, shown and for numbers given without a unit"},
    {"--us", NULL, "fl oz and degrees Fahrenheit, where the book's setting is metric"},
    {"--help", NULL, "this help"},
    {NULL, NULL, NULL},
};

static const char exit_codes[] =
    "Exit: 0 done; 1 the answer is no (a card refused, drift found with --check); 2 wrong use or unusable "
    "input;\n"
    "3 the machine failed (disk, memory, a plugin), or what was kept could not be reported.\n";

static void print_options(const cli_option *options, FILE *out) {
  for (; options->name; options++) {
    char left[64];
    snprintf(left, sizeof left, "%s %s", options->name, options->value ? options->value : "");
    if (strlen(left) > 24)
      fprintf(out, "  %s\n  %-24s %s\n", left, "", options->help);
    else
      fprintf(out, "  %-24s %s\n", left, options->help);
  }
}

void cli_help(const cli_command *command, FILE *out) {
  fprintf(out, "dropwise %s: %s\n\nUse: dropwise %s %s\n", command->name, command->summary, command->name,
          command->usage);
  if (*command->about) fprintf(out, "\n%s\n", command->about);
  fprintf(out, "\nOptions:\n");
  print_options(command->options, out);
  print_options(cli_common_options, out);
  fprintf(out, "\n%s\nExample:\n  %s\n", exit_codes, command->example);
}

void cli_help_all(const cli_command *const *commands, FILE *out) {
  fprintf(out,
          "Dropwise reads the colors of a poured bait's layers from a photo, compares them with the "
          "colors aimed\n"
          "for, and says what to add to which cup.\n\nUse: dropwise [OPTIONS] COMMAND ...\n\nCommands:\n");
  for (; *commands; commands++) fprintf(out, "  %-10s %s\n", (*commands)->name, (*commands)->summary);
  fprintf(out, "\nOptions of every command, before its name or behind it:\n");
  print_options(cli_common_options, out);
  fprintf(out,
          "\nWhere a FILE is read or written - is the standard input or output.\n"
          "dropwise help COMMAND tells more of a command, with an example; dropwise --version (-V) the "
          "version.\n\n%s",
          exit_codes);
}
