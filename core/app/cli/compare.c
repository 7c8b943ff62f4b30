#include "app/cli/cli.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { PAIRS_FILE_MAX = 64 << 20 };

/* Wider than any real color, so that noise, and colors beyond what a screen shows, pass. */
#define PAIR_L_MIN -10.0
#define PAIR_L_MAX 150.0
#define PAIR_AB_MAX 300.0

static const cli_option options[] = {
    {"--pairs", "FILE",
     "a CSV file with the columns L1,a1,b1,L2,a2,b2; the same comes out with de00 as the last column (one "
     "that is there already is replaced)"},
    {NULL, NULL, NULL},
};

/* A pairs file, and which of its columns is what. */
typedef struct pairs_file {
  const dw_csv *csv;
  const char *path;
  int column[6]; /* L1, a1, b1, L2, a2, b2 */
} pairs_file;

static dw_status color_at(const pairs_file *pairs, size_t row, const int column[3], dw_lab *out,
                          dw_error *err) {
  double v[3];
  for (size_t i = 0; i < 3; i++) {
    dw_status status = dw_csv_number(pairs->csv, row, column[i], &v[i], err);
    if (status != DW_OK) return status;
  }
  if (v[0] < PAIR_L_MIN || v[0] > PAIR_L_MAX || fabs(v[1]) > PAIR_AB_MAX || fabs(v[2]) > PAIR_AB_MAX)
    return dw_fail(
        err, DW_BAD_INPUT,
        "%s, line %zu: %g,%g,%g is no color; L* lies between %g and %g, a* and b* between -%g and %g.",
        pairs->path, dw_csv_line(pairs->csv, row), v[0], v[1], v[2], PAIR_L_MIN, PAIR_L_MAX, PAIR_AB_MAX,
        PAIR_AB_MAX);
  *out = (dw_lab){v[0], v[1], v[2]};
  return DW_OK;
}

/* A cell as RFC 4180 writes it. */
static void put_cell(dw_text *out, const char *cell) {
  if (!strpbrk(cell, ",\"\r\n")) {
    dw_text_put(out, cell, strlen(cell));
    return;
  }
  dw_text_put(out, "\"", 1);
  for (; *cell; cell++) dw_text_put(out, *cell == '"' ? "\"\"" : cell, *cell == '"' ? 2 : 1);
  dw_text_put(out, "\"", 1);
}

/* Every column but a de00 of an earlier run. */
static bool kept(const dw_csv *csv, size_t column) {
  return strcasecmp(dw_csv_title(csv, column), "de00") != 0;
}

static void put_titles(const dw_csv *csv, dw_text *out) {
  for (size_t c = 0; c < dw_csv_columns(csv); c++) {
    if (!kept(csv, c)) continue;
    put_cell(out, dw_csv_title(csv, c));
    dw_text_put(out, ",", 1);
  }
  dw_text_add(out, "de00\n");
}

static void put_row(const dw_csv *csv, size_t row, double de00, dw_text *out) {
  for (size_t c = 0; c < dw_csv_columns(csv); c++) {
    if (!kept(csv, c)) continue;
    put_cell(out, dw_csv_cell(csv, row, c));
    dw_text_put(out, ",", 1);
  }
  dw_text_add(out, "%.4f\n", de00);
}

static json_t *pair_json(dw_lab from, dw_lab to) {
  json_t *pair = dw_json_difference(from, to);
  pair = dw_json_with(pair, "from", dw_json_lab(from));
  pair = dw_json_with(pair, "to", dw_json_lab(to));
  return pair;
}

static dw_status find_columns(pairs_file *pairs, dw_error *err) {
  static const char *const names[6] = {"L1", "a1", "b1", "L2", "a2", "b2"};
  for (size_t i = 0; i < 6; i++)
    if ((pairs->column[i] = dw_csv_column(pairs->csv, names[i])) < 0)
      return dw_fail(err, DW_BAD_INPUT, "%s has no column %s; it needs L1,a1,b1,L2,a2,b2.", pairs->path,
                     names[i]);
  return DW_OK;
}

static dw_status compare_rows(const cli_args *args, pairs_file *pairs, json_t *list, dw_text *out,
                              dw_error *err) {
  dw_status status = find_columns(pairs, err);
  if (status != DW_OK) return status;
  put_titles(pairs->csv, out);
  for (size_t row = 0; row < dw_csv_rows(pairs->csv); row++) {
    dw_lab from, to;
    status = color_at(pairs, row, pairs->column, &from, err);
    if (status == DW_OK) status = color_at(pairs, row, pairs->column + 3, &to, err);
    if (status != DW_OK) return status;
    if (!args->json)
      put_row(pairs->csv, row, dw_de00(from, to), out);
    else if (json_array_append_new(list, pair_json(from, to)) != 0)
      return dw_fail_memory(err, "the JSON result");
  }
  return DW_OK;
}

static dw_status compare_file(const cli_args *args, const char *path, dw_error *err) {
  char *text = NULL;
  size_t n;
  dw_csv *csv = NULL;
  dw_error cut;
  dw_text out = {0};
  pairs_file pairs = {.path = path};
  json_t *list = json_array();
  dw_status status = dw_file_read(path, PAIRS_FILE_MAX, &text, &n, err);
  if (status == DW_OK) status = dw_csv_parse(text, n, path, &csv, err);
  pairs.csv = csv;
  if (status == DW_OK) status = compare_rows(args, &pairs, list, &out, err);
  if (status == DW_OK && dw_csv_may_be_cut(csv)) {
    dw_fail(&cut, DW_BAD_INPUT,
            "The last line of %s has no end, so the file may be cut: look at its last pair.", path);
    cli_complain(&cut);
  }
  if (status == DW_OK && args->json)
    status = cli_print_json(json_pack("{s:O}", "pairs", list), err);
  else if (status == DW_OK)
    status = cli_print_text(&out, err);
  json_decref(list);
  dw_text_free(&out);
  dw_csv_free(csv);
  free(text);
  return status;
}

static dw_status run(const cli_args *args, dw_error *err) {
  const char *pairs = cli_value(args, "--pairs");
  dw_status status =
      pairs ? cli_words(args, 0, 0, "", err) : cli_words(args, 2, 2, "two Lab colors, or --pairs", err);
  if (status != DW_OK) return status;
  if (pairs) return compare_file(args, pairs, err);
  dw_lab from, to;
  status = cli_lab(args->word[0], "The first color", &from, err);
  if (status == DW_OK) status = cli_lab(args->word[1], "The second color", &to, err);
  if (status != DW_OK) return status;
  if (args->json) return cli_print_json(dw_json_difference(from, to), err);
  dw_text text = {0};
  dw_text_difference(from, to, &args->style, &text);
  return cli_print_text(&text, err);
}

const cli_command cli_compare = {
    .name = "compare",
    .summary = "how far two colors are apart (CIEDE2000), and in which way",
    .usage = "LAB LAB | --pairs FILE.csv",
    .about = "The parts are the signed terms of CIEDE2000: lightness (+ lighter), chroma (+ brighter), hue.",
    .example = "dropwise compare 52.1,18.5,40.0 50.4,16.0,37.2",
    .options = options,
    .run = run,
};
