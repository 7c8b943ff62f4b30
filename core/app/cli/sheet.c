#include "app/sheet.h"
#include "app/cli/book.h"

#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--work", "ID", "a piece of work on the bench, by its number, instead of a pattern"},
    {"--next", NULL, "the next cups as advised, though some were poured already"},
    {"--html", "FILE", "where the sheet goes"},
    {NULL, NULL, NULL},
};

static pt_status write_sheet(const cli_args *args, const pt_sheet *sheet, pt_error *err) {
  const char *file = cli_value(args, "--html");
  pt_text html = {0}, text = {0};
  pt_status status = pt_html_sheet(sheet, NULL, &html, err);
  if (status == PT_OK) status = pt_file_write(file, html.data, html.length, err);
  pt_text_free(&html);
  if (status != PT_OK) return status;
  pt_text_add(&text, "The sheet of %s with %zu cup%s is in %s; print it from a browser.\n", sheet->title,
              sheet->n, sheet->n == 1 ? "" : "s", file);
  return cli_say(args,
                 json_pack("{s:o, s:I, s:o}", "title", pt_json_text(sheet->title), "cups",
                           (json_int_t)sheet->n, "file", pt_json_text(file)),
                 &text, err);
}

static pt_status load(const cli_args *args, pt_sheet *sheet, pt_shelf **shelf, pt_error *err) {
  double work = 0;
  pt_book *book = NULL;
  pt_status status = cli_number(args, "--work", 1, 1e15, 0, &work, err);
  if (status == PT_OK) status = cli_book_read(args, &book, err);
  if (status == PT_OK && work > 0)
    status = pt__sheet_of_work(book, (int64_t)work, args->style.units, sheet, shelf, err);
  else if (status == PT_OK)
    status = pt__sheet_of_pattern(book, args->word[0], cli_has(args, "--next"), args->style.units, sheet,
                                  shelf, err);
  return cli_book_done(book, status, err);
}

static pt_status run(const cli_args *args, pt_error *err) {
  size_t words = cli_has(args, "--work") ? 0 : 1;
  pt_shelf *shelf = NULL;
  pt_status status = cli_words(args, words, words, "a pattern, or --work ID", err);
  if (status == PT_OK && !cli_has(args, "--html"))
    status = pt_fail(err, PT_USAGE, "sheet needs --html FILE.");
  if (status != PT_OK) return status;
  pt_sheet *sheet = calloc(1, sizeof *sheet);
  if (!sheet) return pt_fail_memory(err, "the sheet");
  status = load(args, sheet, &shelf, err);
  if (status == PT_OK) status = write_sheet(args, sheet, err);
  pt_shelf_free(shelf);
  free(sheet);
  return status;
}

const cli_command cli_sheet = {
    .name = "sheet",
    .summary = "the cup sheet of a pattern, for print",
    .usage = "PATTERN [--next] --html FILE | --work ID --html FILE",
    .about =
        "Layers, drops, volumes and the order in the mold, from the pattern's newest work on the bench or\n"
        "its newest batch; before any was poured, and with --next, as advised for its targets. Volumes in fl "
        "oz, or in ml with --metric.",
    .example = "pourtone sheet \"creek crawfish\" --html sheet.html",
    .options = options,
    .run = run,
};
