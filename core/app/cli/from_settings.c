/* The book's settings, for the commands that go by them. */
#include "app/cli/book.h"

#include <unistd.h>

static dw_status from_book(const char *path, dw_settings *out, dw_error *err) {
  dw_book *book = NULL;
  dw_status status = dw_book_open(path, DW_BOOK_READ, &book, err);
  if (status == DW_UNSUPPORTED) status = dw_book_open(path, DW_BOOK_WRITE, &book, err); /* an older one */
  if (status == DW_OK) status = dw_book_settings_get(book, out, NULL, err);
  dw_book_close(book);
  return status;
}

/* What is wrong with the book is for the command to say, if it needs it. Where the machine fails, a volume of the maker's
 * own units would be taken for one of others. */
dw_status cli_settings_take(cli_args *args, dw_error *err) {
  char path[4096];
  dw_status status = DW_OK;
  args->settings = dw_settings_default();
  if (args->command->settings && cli_book_path(args, path, sizeof path, err) == DW_OK &&
      access(path, F_OK) == 0)
    status = from_book(path, &args->settings, err);
  if (dw_status_exit_code(status) == dw_status_exit_code(DW_IO)) return status;
  if (cli_has(args, "--metric")) args->settings.units = DW_UNITS_METRIC;
  if (cli_has(args, "--us")) args->settings.units = DW_UNITS_US;
  args->style.units = args->settings.units;
  return DW_OK;
}
