/* What is looked for in photos in which no layer is marked. */
#include "app/cli/book.h"
#include "dropwise/batch_find.h"

#include <stdlib.h>
#include <string.h>

/* --layer NAME=SHAPE is a mark, --layer NAME picks a layer. */
static bool layer_marked(const cli_args *args) {
  const char *layer;
  for (size_t at = 0; (layer = cli_next(args, "--layer", &at));)
    if (strchr(layer, '=')) return true;
  return false;
}

/* *with, *without  marks files that mark layers, and that mark none */
static dw_status files_count(const cli_args *args, size_t *with, size_t *without, dw_error *err) {
  const char *file;
  dw_marks *marks = malloc(sizeof *marks);
  dw_status status = marks ? DW_OK : dw_fail_memory(err, "the marks");
  for (size_t at = 0; status == DW_OK && (file = cli_next(args, "--marks", &at));) {
    status = cli_marks_load(args, file, marks, err);
    *(marks->n ? with : without) += status == DW_OK;
    if (status == DW_OK && *with && *without)
      status = dw_fail(err, DW_USAGE, "%s marks %s, unlike the marks before it: read its photo apart.", file,
                       marks->n ? "layers" : "no layer");
  }
  free(marks);
  return status;
}

dw_status cli_searched(const cli_args *args, bool *out, dw_error *err) {
  size_t with = 0, without = 0;
  *out = false;
  if (cli_has(args, "--region") || layer_marked(args)) return DW_OK;
  dw_status status = cli_has(args, "--marks") ? files_count(args, &with, &without, err) : DW_OK;
  *out = with == 0;
  return status;
}

static dw_status back_side(const cli_args *args, dw_bait_back *out, dw_error *err) {
  const char *back = cli_value(args, "--back");
  bool lower = back && strcmp(back, "lower") == 0;
  if (back && !lower && strcmp(back, "upper") != 0)
    return dw_fail(err, DW_USAGE, "--back is upper or lower, not \"%.40s\".", back);
  *out = lower ? DW_BACK_LOWER : DW_BACK_UPPER;
  return DW_OK;
}

void cli_back_hint(dw_text *out) {
  dw_text_add(
      out, "  --back lower takes the lower side for the back, a pattern's targets tell it of each bait.\n");
}

dw_status cli_scale_refuse(const cli_args *args, dw_error *err) {
  static const char *const options[] = {"--card-width", "--bait-height"};
  for (size_t i = 0; i < sizeof options / sizeof *options; i++)
    if (cli_has(args, options[i]))
      return dw_fail(err, DW_USAGE, "%s is for baits whose layers are found and shown; leave it out.",
                     options[i]);
  return DW_OK;
}

dw_status cli_find_wish(const cli_args *args, const dw_pattern *pattern, dw_find_wish *out, dw_error *err) {
  *out = (dw_find_wish){.card_set = cli_card_set(args)};
  dw_status status = back_side(args, &out->rules.back, err);
  if (status == DW_OK)
    status = cli_whole(args, "--layers", 1, DW_BAIT_LAYERS_MAX, 0, &out->rules.layers, err);
  if (status == DW_OK)
    status = cli_number(args, "--card-width", 1, 2000, args->settings.card_mm, &out->card_mm, err);
  if (status == DW_OK) status = cli_number(args, "--bait-height", 1, 2000, 0, &out->bait_mm, err);
  return status == DW_OK && pattern ? dw_find_wish_take(pattern, out, err) : status;
}

dw_status cli_find_pattern(const cli_args *args, const char *name, dw_pattern *out, dw_error *err) {
  dw_book *book = NULL;
  bool searched = false;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, name, out, err);
  dw_book_close(book);
  if (status == DW_OK) status = cli_searched(args, &searched, err);
  if (status == DW_OK && !out->swirl && !searched) *out = (dw_pattern){0};
  return status;
}
