/* Photos of chips: marked, or sheets in which they are found. */
#include "app/cli/bottle.h"
#include "dropwise/read_chips.h"

#include <stdlib.h>

static dw_status rows_take(const cli_args *args, dw_chip_row *rows, size_t *n, dw_error *err) {
  const char *text;
  dw_status status = DW_OK;
  for (size_t at = 0; status == DW_OK && (text = cli_next(args, "--row", &at));) {
    if (*n == DW_CHIP_ROWS_MAX)
      return dw_fail(err, DW_USAGE, "A sheet may have at most %d rows.", DW_CHIP_ROWS_MAX);
    status = dw_chip_row_parse(text, &rows[(*n)++], err);
  }
  return status;
}

static dw_status sheets_find(const cli_args *args, cli_photos *out, dw_error *err) {
  dw_chip_row rows[DW_CHIP_ROWS_MAX];
  const char *path;
  size_t n = 0;
  dw_status status = rows_take(args, rows, &n, err);
  dw_marks *marks = calloc(2, sizeof *marks), *light = marks ? marks + 1 : NULL;
  if (status == DW_OK && !marks) status = dw_fail_memory(err, "the chips");
  for (size_t at = 0, i = 0; status == DW_OK && (path = cli_next(args, "--photo", &at)); i++) {
    status = cli_light(args, i, cli_count(args, "--photo"), light, err);
    if (status == DW_OK)
      status = dw_marks_find_chips(path, cli_card_set(args), light, rows, n, marks, &out->notes, err);
    if (status == DW_OK) status = cli_photos_add(path, marks, NULL, out, err);
  }
  free(marks);
  return status;
}

dw_status cli_sheets_read(const cli_args *args, cli_photos *out, dw_error *err) {
  bool row = cli_has(args, "--row"), found;
  dw_status status = cli_searched(args, &found, err);
  if (status != DW_OK) return status;
  if (row && (!found || !cli_has(args, "--photo")))
    return dw_fail(
        err, DW_USAGE,
        "--row says what lies on a sheet in which no chip is marked: give it with --photo, and without "
        "marked chips.");
  if (row) return sheets_find(args, out, err);
  if (found && cli_has(args, "--photo"))
    return dw_fail(
        err, DW_USAGE,
        "Say what lies on the sheet, row by row (--row \"orange=0.5,2,8\"), or mark the chips: --marks "
        "FILE.");
  return cli_photos_read(args, NULL, NULL, out, err);
}
