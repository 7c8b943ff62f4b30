/* --swirl of find and read: each bait as colors without order. */
#include "app/cli/find_strips.h"
#include "dropwise/batch_find.h"
#include "dropwise/report_swirl.h"

#include <stdlib.h>
#include <string.h>

/* What is asked of the photo. */
typedef struct swirl_wish {
  dw_pattern pattern; /* n 0: none */
  dw_find_wish find;
  size_t colors, n_target;
  dw_lab target[DW_SWIRL_COLORS_MAX];
  const char *names[DW_SWIRL_COLORS_MAX];
} swirl_wish;

static dw_status colors_of(const cli_args *args, size_t *out, dw_error *err) {
  const char *text = cli_value(args, "--swirl");
  *out = 0;
  if (!text || strcmp(text, "any") == 0) return DW_OK;
  *out = strcmp(text, "2") == 0 ? 2 : strcmp(text, "3") == 0 ? 3 : 0;
  if (*out) return DW_OK;
  return dw_fail(err, DW_USAGE, "--swirl takes how many colors there are: 2, 3 or any, not \"%.40s\".", text);
}

dw_status cli_swirl_files_check(const cli_args *args, dw_error *err) {
  static const char *const files[] = {"--html", "--picture", "--svg", "--save-marks"};
  for (size_t i = 0; i < sizeof files / sizeof *files; i++)
    if (cli_has(args, files[i]))
      return dw_fail(err, DW_USAGE, "%s is for layers in order, which a swirl has none of.", files[i]);
  return DW_OK;
}

dw_status cli_swirl_colors(const cli_args *args, const dw_pattern *pattern, dw_error *err) {
  size_t colors = 0;
  dw_status status = colors_of(args, &colors, err);
  if (status == DW_OK && colors && colors != pattern->n)
    return dw_fail(err, DW_USAGE, "\"%s\" has %zu layers, and --swirl says %zu colors.", pattern->name,
                   pattern->n, colors);
  return status == DW_OK ? dw_swirl_wish_check(pattern, err) : status;
}

/* The pattern's layers are the swirl's colors. */
static dw_status pattern_take(const cli_args *args, swirl_wish *wish, dw_error *err) {
  const dw_pattern *p = &wish->pattern;
  dw_status status = cli_swirl_colors(args, p, err);
  if (status != DW_OK) return status;
  wish->colors = wish->n_target = p->n;
  for (size_t i = 0; i < p->n; i++) {
    wish->target[i] = p->layer[i].target;
    wish->names[i] = p->layer[i].name;
  }
  return DW_OK;
}

static dw_status wish_from(const cli_args *args, swirl_wish *out, dw_error *err) {
  const char *name = cli_value(args, "--pattern");
  dw_book *book = NULL;
  *out = (swirl_wish){.colors = 0};
  dw_status status = cli_words(args, 1, 1, "a photo", err);
  if (status == DW_OK) status = cli_swirl_files_check(args, err);
  if (status == DW_OK) status = colors_of(args, &out->colors, err);
  if (status == DW_OK && name) {
    status = cli_book_read(args, &book, err);
    if (status == DW_OK) status = dw_pattern_find(book, name, &out->pattern, err);
    dw_book_close(book);
    if (status == DW_OK) status = pattern_take(args, out, err);
  }
  if (status == DW_OK) status = cli_find_wish(args, NULL, &out->find, err);
  return status;
}

dw_status cli_find_swirl(const cli_args *args, dw_error *err) {
  swirl_wish wish;
  dw_marks *marks = NULL;
  dw_text text = {0};
  dw_swirls *swirls = malloc(sizeof *swirls);
  dw_status status = swirls ? wish_from(args, &wish, err) : dw_fail_memory(err, "the swirls");
  if (status == DW_OK) status = cli_marks_all(args, &marks, err);
  if (status == DW_OK)
    status = dw_swirls_read(args->word[0], marks, &wish.find, wish.colors, wish.target, wish.n_target, swirls,
                            err);
  if (status == DW_OK) {
    const char *const *names = wish.n_target ? wish.names : NULL;
    const dw_lab *targets = wish.n_target ? wish.target : NULL;
    dw_text_swirls(swirls, names, targets, &args->style, &text);
    status = cli_say(args, dw_json_swirls(swirls, names, targets), &text, err);
  }
  free(marks);
  free(swirls);
  return status;
}
