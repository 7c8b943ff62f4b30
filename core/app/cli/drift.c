#include "app/cli/book.h"
#include "app/history.h"

#include <stdlib.h>

static const cli_option options[] = {
    {"--check", NULL, "exit with 1 when a layer drifts"},
    {"--advise", NULL, "what to change in the next cup"},
    {"--more", NULL, "all batches, the charts, and what temperatures and lots say"},
    {"--csv", NULL, "one line a batch and layer"},
    {"--html", "FILE", "write a report with charts as one HTML file"},
    {NULL, NULL, NULL},
};

static pt_status load(const cli_args *args, pt_drift_report *report, pt_error *err) {
  pt_book *book = NULL;
  pt_shelf *shelf = NULL;
  pt_status status = cli_book_read(args, &book, err);
  if (status == PT_OK) status = pt__history_load(book, args->word[0], report, err);
  if (status == PT_OK && cli_has(args, "--advise")) {
    status = pt_book_shelf(book, &shelf, NULL, err);
    if (status == PT_OK) status = pt__history_advise(book, shelf, report, err);
    pt_shelf_free(shelf);
  }
  return cli_book_done(book, status, err);
}

static pt_status write_html(const char *path, const pt_drift_report *report, pt_error *err) {
  pt_text html = {0};
  pt_status status = pt_html_drift(report, &html, err);
  if (status == PT_OK) status = pt_file_write(path, html.data, html.length, err);
  pt_text_free(&html);
  return status;
}

static pt_status print(const cli_args *args, const pt_drift_report *report, pt_error *err) {
  pt_text text = {0};
  if (args->json) return cli_print_json(pt_json_drift(report), err);
  if (cli_has(args, "--csv"))
    pt_csv_drift(report, &text);
  else
    pt_text_drift(report, cli_has(args, "--more") ? PT_DETAIL_ALL : PT_DETAIL_BRIEF, &args->style, &text);
  return cli_print_text(&text, err);
}

static pt_status run(const cli_args *args, pt_error *err) {
  pt_drift_report *report = calloc(1, sizeof *report);
  pt_status status = report ? cli_words(args, 1, 1, "a pattern", err) : pt_fail_memory(err, "the batches");
  if (status == PT_OK) status = load(args, report, err);
  if (status == PT_OK && cli_has(args, "--html")) status = write_html(cli_value(args, "--html"), report, err);
  if (status == PT_OK) status = print(args, report, err);
  if (status == PT_OK && cli_has(args, "--check") && pt_drift_report_found(report))
    status = pt_fail(err, PT_REFUSED, "\"%s\" drifts.", report->pattern.name);
  if (report) pt_drift_report_free(report);
  free(report);
  return status;
}

const cli_command cli_drift = {
    .name = "drift",
    .summary = "is this batch still the color? batches against the target, control chart",
    .usage = "PATTERN [--check] [--advise] [--more] [--csv] [--html FILE]",
    .about = "Limits stand on the batches called good (pourtone pour --good); a difference within what the "
             "photos\n"
             "can tell is never called drift.",
    .example = "pourtone drift \"creek crawfish\" --advise",
    .options = options,
    .run = run,
};
