/* The shelf of the book, and bottles named on the command line. */
#include "app/cli/book.h"

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

dw_status cli_book_question(const cli_args *args, dw_shelf *shelf, const dw_cup *fresh,
                            const dw_slab *said, dw_book **book, dw_pattern *pattern, dw_batch_question *out,
                            dw_error *err) {
  const char *batch_name = cli_value(args, "--batch");
  dw_batch batch = {0};
  dw_status status = cli_book_read(args, book, err);
  if (status == DW_OK) status = dw_pattern_find(*book, cli_value(args, "--pattern"), pattern, err);
  if (status == DW_OK && batch_name) status = dw_batch_find(*book, pattern->id, batch_name, &batch, err);
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++)
    if (!dw_pattern_layer_aimed(&pattern->layer[i]))
      status =
          dw_fail(err, DW_NOT_FOUND,
                  "The %s of \"%s\" has no target and no natural tone yet; dropwise target set gives it one.",
                  pattern->layer[i].name, pattern->name);
  if (status == DW_OK) status = dw_book_shelf_hold(*book, shelf, err);
  if (status == DW_OK)
    status = dw_batch_question_load(*book, pattern, batch.id, shelf, fresh, said, out, err);
  if (status == DW_OK && out->request.n == 0) status = dw_fail(err, DW_TOO_FEW, "%s", out->left_out.text[0]);
  return status;
}
