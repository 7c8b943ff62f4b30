/* What advise and predict take from the book: its shelf, a pattern's targets, a batch's cups. */
#include "app/cli/book.h"
#include "dropwise/report_drift.h"

#include <string.h>
#include <unistd.h>

dw_status cli_book_shelf(const cli_args *args, dw_shelf **out, dw_error *err) {
  char path[4096];
  dw_book *book = NULL;
  dw_error ignored;
  bool given = cli_has(args, "--book");
  if (!given && (dw_book_default_path(path, sizeof path, &ignored) != DW_OK || access(path, F_OK) != 0))
    return dw_shelf_starter(out, err);
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_book_shelf(book, out, NULL, err);
  dw_book_close(book);
  return status;
}

/* The book's bottle of that name, where the shelf is the book's own. */
static bool kept_bottle(const cli_args *args, const char *id, dw_book_bottle *out) {
  char path[4096];
  dw_book *book = NULL;
  dw_error ignored;
  if (cli_has(args, "--shelf")) return false;
  if (!cli_has(args, "--book") &&
      (dw_book_default_path(path, sizeof path, &ignored) != DW_OK || access(path, F_OK) != 0))
    return false;
  bool found =
      cli_book_read(args, &book, &ignored) == DW_OK && dw_book_bottle_find(book, id, out, &ignored) == DW_OK;
  dw_book_close(book);
  return found;
}

/* DW_USAGE for a bottle that is in the book but not on the shelf; DW_OK else. */
static dw_status check_known(const cli_args *args, const char *id, const dw_shelf *shelf, dw_error *err) {
  dw_book_bottle bottle;
  if (dw_shelf_find(shelf, id) >= 0 || !kept_bottle(args, id, &bottle)) return DW_OK;
  if (bottle.removed) return dw_fail(err, DW_USAGE, "%s was taken off the shelf, so it can't be used.", id);
  if (bottle.chips > 0)
    return dw_fail(err, DW_USAGE,
                   "%s has chips but is not fitted yet, so its color can't be predicted; run dropwise "
                   "bottle fit.",
                   id);
  return dw_fail(err, DW_USAGE,
                 "%s has no chips yet, so its color can't be predicted; dropwise bottle chips takes "
                 "them in.",
                 id);
}

dw_status cli_bottle_index(const cli_args *args, const char *id, const dw_shelf *shelf, size_t *out,
                           dw_error *err) {
  int at = dw_shelf_find(shelf, id);
  dw_status status = check_known(args, id, shelf, err);
  if (status == DW_OK && at < 0) status = dw_shelf_lacks(shelf, id, err);
  if (status == DW_OK) *out = (size_t)at;
  return status;
}

dw_status cli_recipe(const cli_args *args, const char *text, const dw_shelf *shelf, dw_recipe *out,
                     dw_error *err) {
  dw_recipe_words words;
  dw_status status = dw_recipe_read(text, &words, err);
  for (size_t i = 0; i < words.n && status == DW_OK; i++)
    status = check_known(args, words.part[i].id, shelf, err);
  return status == DW_OK ? dw_recipe_parse(text, shelf, out, err) : status;
}

/* The layer's cup of that batch, and what its last measurement says; an empty cup where the book has none. */
static dw_status take_cup(dw_book *book, int64_t batch, int64_t layer, const dw_shelf *shelf, dw_layer *out,
                          dw_error *err) {
  dw_book_cup kept;
  size_t missing;
  dw_status status = dw_book_cup_find(book, batch, layer, &kept, err);
  if (status == DW_NOT_FOUND) return DW_OK;
  if (status == DW_OK) status = dw_book_cup_now(book, kept.id, shelf, &out->cup, &missing, err);
  if (status == DW_OK && missing)
    status =
        dw_fail(err, DW_TOO_FEW,
                "The cup of the %s holds a bottle without chips, whose color can't be predicted.", out->name);
  if (status != DW_OK) return status;
  return dw_cup_measured(book, &kept, shelf, &out->has_measured, &out->measured,
                         &out->measured_uncertainty_de00, err);
}

static dw_status take_layers(dw_book *book, const char *batch_name, const dw_pattern *pattern,
                             dw_advice_request *request, dw_error *err) {
  dw_cup empty = request->layer[0].cup;
  dw_batch batch = {0};
  dw_status status = batch_name ? dw_batch_find(book, pattern->id, batch_name, &batch, err) : DW_OK;
  request->n = pattern->n;
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++) {
    const dw_pattern_layer *from = &pattern->layer[i];
    dw_layer *out = &request->layer[i];
    if (!from->has_target)
      return dw_fail(err, DW_NOT_FOUND,
                     "The %s of \"%s\" has no target yet; dropwise target set gives it one.", from->name,
                     pattern->name);
    *out = (dw_layer){.target = from->target,
                      .target_doubt_de00 = from->target_uncertainty_de00,
                      .target_see_through = from->see_through,
                      .cup = empty};
    memcpy(out->name, from->name, sizeof out->name);
    if (batch_name) status = take_cup(book, batch.id, from->id, request->shelf, out, err);
  }
  return status;
}

dw_status cli_book_layers(const cli_args *args, dw_advice_request *request, dw_error *err) {
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, cli_value(args, "--pattern"), &pattern, err);
  if (status == DW_OK) status = take_layers(book, cli_value(args, "--batch"), &pattern, request, err);
  dw_book_close(book);
  return status;
}

dw_status cli_book_next(const cli_args *args, const dw_shelf *shelf, dw_next_cup *out, size_t *n,
                        dw_error *err) {
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = dw_pattern_find(book, cli_value(args, "--pattern"), &pattern, err);
  if (status == DW_OK) status = dw_pattern_next(book, shelf, &pattern, out, err);
  if (status == DW_OK) *n = pattern.n;
  dw_book_close(book);
  return status;
}
