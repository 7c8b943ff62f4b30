/* The book's settings, for the commands that go by them. */
#include "app/cli/book.h"

#include <unistd.h>

/* What is wrong with the book is for the command to say, if it needs it. */
void cli_settings_take(cli_args *args) {
  char path[4096];
  dw_book *book = NULL;
  dw_error ignored;
  args->settings = dw_settings_default();
  if (args->command->settings && cli_book_path(args, path, sizeof path, &ignored) == DW_OK &&
      access(path, F_OK) == 0 && dw_book_open(path, DW_BOOK_READ, &book, &ignored) == DW_OK)
    dw_book_settings_get(book, &args->settings, NULL, &ignored);
  dw_book_close(book);
  if (cli_has(args, "--metric")) args->settings.units = DW_UNITS_METRIC;
  if (cli_has(args, "--us")) args->settings.units = DW_UNITS_US;
  args->style.units = args->settings.units;
}
