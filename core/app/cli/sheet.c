#include "app/cli/book.h"
#include "dropwise/book_molds.h"
#include "dropwise/report_sheet.h"

#include <stdlib.h>
#include <string.h>

static const cli_option options[] = {
    {"--work", "ID", "a piece of work on the bench, by its number, instead of a pattern"},
    {"--next", NULL, "the next cups as advised, though some were poured already"},
    CLI_SET_OPTION,
    {"--html", "FILE", "write it as a page for print; without, it is printed as text"},
    {"--mold", "NAME", "a mold of the book: which cup goes into which chamber"},
    {"--outline", "SHAPE", "of the picture: crawfish, swimbait, jerkbait, stick or frog; default swimbait"},
    {"--shares", "N,N,...", "of the body's height, in percent, one for each layer; default alike"},
    {"--address", "URL", "of the page, for a code to point a phone at, which brings the batch back there"},
    {NULL, NULL, NULL},
};

static dw_status print_sheet(const cli_args *args, const dw_sheet *sheet, dw_error *err) {
  dw_text text = {0};
  dw_text_sheet(sheet, &args->style, &text);
  return cli_say(args, dw_json_sheet(sheet), &text, err);
}

static dw_status write_sheet(const cli_args *args, const dw_sheet *sheet, dw_error *err) {
  const char *file = cli_value(args, "--html");
  dw_text html = {0}, text = {0};
  dw_sheet_look look = {.page_address = cli_value(args, "--address")};
  dw_status status = cli_outline(args, &look.outline, err);
  if (status == DW_OK) status = cli_shares(args, sheet->n, look.share, err);
  if (status == DW_OK) status = dw_html_sheet(sheet, &look, &html, err);
  status = cli_text_file(file, status, &html, err);
  if (status != DW_OK || args->answer_is) return status;
  dw_text_add(&text, "The sheet of %s with %zu cup%s is in %s; print it from a browser.\n", sheet->title,
              sheet->n, sheet->n == 1 ? "" : "s", file);
  return cli_say(args,
                 json_pack("{s:o, s:I, s:o}", "title", dw_json_text(sheet->title), "cups",
                           (json_int_t)sheet->n, "file", dw_json_text(file)),
                 &text, err);
}

static dw_status set_mold(const cli_args *args, dw_book *book, dw_sheet *sheet, dw_error *err) {
  dw_mold mold;
  dw_status status = dw_book_mold_find(book, cli_value(args, "--mold"), &mold, err);
  return status == DW_OK ? dw_sheet_set_mold(sheet, &mold, err) : status;
}

static dw_status load(const cli_args *args, dw_sheet *sheet, dw_shelf **shelf, dw_error *err) {
  size_t work = 0;
  dw_book *book = NULL;
  dw_plugins plugins;
  dw_status status = cli_whole(args, "--work", 1, CLI_ID_MAX, 0, &work, err);
  if (status == DW_OK) status = cli_find_plugins(args, &plugins, err);
  if (status == DW_OK) status = cli_book_read(args, &book, err);
  if (status == DW_OK && work > 0)
    status = dw_sheet_of_bench(book, (int64_t)work, args->style.units, sheet, shelf, err);
  else if (status == DW_OK)
    status = dw_sheet_of_pattern(book, args->word[0], &plugins, cli_has(args, "--next"), args->style.units,
                                 sheet, shelf, err);
  if (status == DW_OK) status = dw_sheet_advise(book, &plugins, sheet, err);
  if (status == DW_OK && cli_has(args, "--mold")) status = set_mold(args, book, sheet, err);
  return cli_book_done(book, status, err);
}

static dw_status run(const cli_args *args, dw_error *err) {
  size_t words = cli_has(args, "--work") ? 0 : 1;
  dw_shelf *shelf = NULL;
  dw_status status = cli_words(args, words, words, "a pattern, or --work ID", err);
  if (status != DW_OK) return status;
  dw_sheet *sheet = calloc(1, sizeof *sheet);
  if (!sheet) return dw_fail_memory(err, "the sheet");
  status = load(args, sheet, &shelf, err);
  if (status == DW_OK)
    status = cli_has(args, "--html") ? write_sheet(args, sheet, err) : print_sheet(args, sheet, err);
  dw_shelf_free(shelf);
  free(sheet);
  return status;
}

const cli_command cli_sheet = {
    .name = "sheet",
    .summary = "the cup sheet of a pattern, for print",
    .usage = "PATTERN [--next] [--mold NAME] [--html FILE] | --work ID [--mold NAME] [--html FILE]",
    .about =
        "Layers, drops, volumes and the order in the mold, from the pattern's newest work on the bench or\n"
        "its newest batch; before any was poured, and with --next, as advised for its targets. Volumes in fl "
        "oz, or in ml with --metric.",
    .example = "dropwise sheet \"creek crawfish\" --html sheet.html",
    .options = options,
    .run = run,
    .settings = true,
};
