/* The book's settings, for the commands that go by them. */
#include "app/cli/book.h"

#include <unistd.h>

dw_status cli_settings_load(const cli_args *args, dw_settings *out, bool *is_set, dw_error *err) {
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

/* What is wrong with the book is for the command to say, if it needs it. Where the machine fails, a volume of the maker's
 * own units would be taken for one of others. */
dw_status cli_settings_take(cli_args *args, dw_error *err) {
  dw_status status = DW_OK;
  args->settings = dw_settings_default();
  if (args->command->settings) status = cli_settings_load(args, &args->settings, NULL, err);
  if (dw_status_exit_code(status) == dw_status_exit_code(DW_IO)) return status;
  if (cli_has(args, "--metric")) args->settings.units = DW_UNITS_METRIC;
  if (cli_has(args, "--us")) args->settings.units = DW_UNITS_US;
  args->style.units = args->settings.units;
  return DW_OK;
}
