/* What is looked for in photos in which nothing is marked. */
#include "app/cli/book.h"
#include "dropwise/batch_find.h"

#include <string.h>

/* --layer NAME=SHAPE is a mark, --layer NAME picks a layer. */
static bool layer_marked(const cli_args *args) {
  const char *layer;
  for (size_t at = 0; (layer = cli_next(args, "--layer", &at));)
    if (strchr(layer, '=')) return true;
  return false;
}

bool cli_nothing_marked(const cli_args *args) {
  static const char *const marks[] = {"--marks", "--card", "--gray", "--gray-y", "--region"};
  for (size_t i = 0; i < sizeof marks / sizeof *marks; i++)
    if (cli_has(args, marks[i])) return false;
  return !layer_marked(args);
}

static dw_status back_side(const cli_args *args, dw_bait_back *out, dw_error *err) {
  const char *back = cli_value(args, "--back");
  bool lower = back && strcmp(back, "lower") == 0;
  if (back && !lower && strcmp(back, "upper") != 0)
    return dw_fail(err, DW_USAGE, "--back is upper or lower, not \"%.40s\".", back);
  *out = lower ? DW_BACK_LOWER : DW_BACK_UPPER;
  return DW_OK;
}

dw_status cli_find_wish(const cli_args *args, const dw_pattern *pattern, dw_find_wish *out, dw_error *err) {
  const char *set = cli_value(args, "--card-set");
  *out = (dw_find_wish){.card_set = set ? set : DW_CARD_USUAL};
  dw_status status = back_side(args, &out->rules.back, err);
  if (status == DW_OK)
    status = cli_whole(args, "--layers", 1, DW_BAIT_LAYERS_MAX, 0, &out->rules.layers, err);
  return status == DW_OK && pattern ? dw_find_wish_take(pattern, out, err) : status;
}

dw_status cli_find_pattern(const cli_args *args, const char *name, dw_pattern *out, dw_error *err) {
  dw_book *book = NULL;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, name, out, err);
  dw_book_close(book);
  if (status == DW_OK && !out->swirl && !cli_nothing_marked(args)) *out = (dw_pattern){0};
  return status;
}
