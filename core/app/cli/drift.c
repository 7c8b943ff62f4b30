#include "app/cli/book.h"
#include "dropwise/report_drift.h"

#include <stdlib.h>

static const cli_option options[] = {
    {"--check", NULL, "exit with 1 when a layer drifts"},
    {"--advise", NULL, "what to change in the next cup"},
    CLI_SET_OPTION,
    {"--more", NULL, "all batches, the charts, and what temperatures and lots say"},
    {"--csv", NULL, "one line a batch and layer"},
    {"--html", "FILE", "write a report with charts as one HTML file"},
    {NULL, NULL, NULL},
};

static dw_status load(const cli_args *args, dw_drift_report *report, dw_error *err) {
  dw_book *book = NULL;
  dw_shelf *shelf = NULL;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_drift_report_load(book, args->word[0], report, err);
  if (status == DW_OK && cli_has(args, "--advise")) {
    dw_plugins plugins;
    status = cli_find_plugins(args, &plugins, err);
    if (status == DW_OK) status = dw_book_shelf(book, &shelf, NULL, err);
    if (status == DW_OK) status = dw_book_shelf_hold(book, shelf, err);
    if (status == DW_OK) status = dw_drift_report_advise(book, shelf, &plugins, report, err);
    dw_shelf_free(shelf);
  }
  return cli_book_done(book, status, err);
}

static dw_status write_html(const char *path, const dw_drift_report *report, dw_error *err) {
  dw_text html = {0};
  dw_status status = dw_html_drift(report, &html, err);
  return cli_text_file(path, status, &html, err);
}

static dw_status print(const cli_args *args, const dw_drift_report *report, dw_error *err) {
  dw_text text = {0};
  if (args->answer_is) return DW_OK;
  if (args->json) return cli_print_json(dw_json_drift(report), err);
  if (cli_has(args, "--csv"))
    dw_csv_drift(report, &text);
  else
    dw_text_drift(report, cli_has(args, "--more") ? DW_DETAIL_ALL : DW_DETAIL_BRIEF, &args->style, &text);
  return cli_print_text(&text, err);
}

static dw_status run(const cli_args *args, dw_error *err) {
  dw_drift_report *report = calloc(1, sizeof *report);
  dw_status status = report ? cli_words(args, 1, 1, "a pattern", err) : dw_fail_memory(err, "the batches");
  if (status == DW_OK) status = load(args, report, err);
  if (status == DW_OK && cli_has(args, "--html")) status = write_html(cli_value(args, "--html"), report, err);
  if (status == DW_OK) status = print(args, report, err);
  if (status == DW_OK && cli_has(args, "--check") && dw_drift_report_found(report))
    status = dw_fail(err, DW_REFUSED, "\"%s\" drifts.", report->pattern.name);
  if (report) dw_drift_report_free(report);
  free(report);
  return status;
}

const cli_command cli_drift = {
    .name = "drift",
    .summary = "is this batch still the color? batches against the target, control chart",
    .usage = "PATTERN [--check] [--advise] [--more] [--csv] [--html FILE]",
    .about = "Limits stand on the batches called good (dropwise pour --good); a difference within what the "
             "photos\n"
             "can tell is never called drift.",
    .example = "dropwise drift \"creek crawfish\" --advise",
    .options = options,
    .run = run,
    .settings = true,
};
