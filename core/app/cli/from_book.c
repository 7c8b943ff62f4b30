/* What advise and predict take from the book: its shelf, a pattern's targets, a batch's cups. */
#include "app/cli/book.h"
#include "app/history.h"

#include <string.h>
#include <unistd.h>

pt_status cli_book_shelf(const cli_args *args, pt_shelf **out, pt_error *err) {
  char path[4096];
  pt_book *book = NULL;
  pt_error ignored;
  bool given = cli_has(args, "--book");
  if (!given && (pt_book_default_path(path, sizeof path, &ignored) != PT_OK || access(path, F_OK) != 0))
    return pt_shelf_starter(out, err);
  pt_status status = cli_book_read(args, &book, err);
  if (status == PT_OK) status = pt_book_shelf(book, out, NULL, err);
  pt_book_close(book);
  return status;
}

/* The book's bottle of that name, where the shelf is the book's own. */
static bool kept_bottle(const cli_args *args, const char *id, pt_book_bottle *out) {
  char path[4096];
  pt_book *book = NULL;
  pt_error ignored;
  if (cli_has(args, "--shelf")) return false;
  if (!cli_has(args, "--book") &&
      (pt_book_default_path(path, sizeof path, &ignored) != PT_OK || access(path, F_OK) != 0))
    return false;
  bool found =
      cli_book_read(args, &book, &ignored) == PT_OK && pt_book_bottle_find(book, id, out, &ignored) == PT_OK;
  pt_book_close(book);
  return found;
}

/* PT_USAGE for a bottle that is in the book but not on the shelf; PT_OK else. */
static pt_status check_known(const cli_args *args, const char *id, const pt_shelf *shelf, pt_error *err) {
  pt_book_bottle bottle;
  if (pt_shelf_find(shelf, id) >= 0 || !kept_bottle(args, id, &bottle)) return PT_OK;
  if (bottle.removed) return pt_fail(err, PT_USAGE, "%s was taken off the shelf, so it can't be used.", id);
  if (bottle.chips > 0)
    return pt_fail(err, PT_USAGE,
                   "%s has chips but is not fitted yet, so its color can't be predicted; run pourtone "
                   "bottle fit.",
                   id);
  return pt_fail(err, PT_USAGE,
                 "%s has no chips yet, so its color can't be predicted; pourtone bottle chips takes "
                 "them in.",
                 id);
}

pt_status cli_bottle_index(const cli_args *args, const char *id, const pt_shelf *shelf, size_t *out,
                           pt_error *err) {
  int at = pt_shelf_find(shelf, id);
  pt_status status = check_known(args, id, shelf, err);
  if (status == PT_OK && at < 0) status = pt_shelf_lacks(shelf, id, err);
  if (status == PT_OK) *out = (size_t)at;
  return status;
}

pt_status cli_recipe(const cli_args *args, const char *text, const pt_shelf *shelf, pt_recipe *out,
                     pt_error *err) {
  for (const char *at = text; *at;) {
    char id[PT_ID_ROOM];
    at += strspn(at, "; \t");
    size_t n = strcspn(at, "=; \t");
    if (n > 0 && n < sizeof id) {
      memcpy(id, at, n);
      id[n] = '\0';
      pt_status status = check_known(args, id, shelf, err);
      if (status != PT_OK) return status;
    }
    at += strcspn(at, ";");
  }
  return pt_recipe_parse(text, shelf, out, err);
}

/* The layer's cup of that batch, and what its last measurement says; an empty cup where the book has none. */
static pt_status take_cup(pt_book *book, int64_t batch, int64_t layer, const pt_shelf *shelf, pt_layer *out,
                          pt_error *err) {
  pt_book_cup kept;
  size_t missing;
  pt_status status = pt_book_cup_find(book, batch, layer, &kept, err);
  if (status == PT_NOT_FOUND) return PT_OK;
  if (status == PT_OK) status = pt_book_cup_now(book, kept.id, shelf, &out->cup, &missing, err);
  if (status == PT_OK && missing)
    status =
        pt_fail(err, PT_TOO_FEW,
                "The cup of the %s holds a bottle without chips, whose color can't be predicted.", out->name);
  if (status != PT_OK) return status;
  return pt__cup_measured(book, &kept, shelf, &out->has_measured, &out->measured,
                          &out->measured_uncertainty_de00, err);
}

static pt_status take_layers(pt_book *book, const char *batch_name, const pt_pattern *pattern,
                             pt_advice_request *request, pt_error *err) {
  pt_cup empty = request->layer[0].cup;
  pt_batch batch = {0};
  pt_status status = batch_name ? pt_batch_find(book, pattern->id, batch_name, &batch, err) : PT_OK;
  request->n = pattern->n;
  for (size_t i = 0; i < pattern->n && status == PT_OK; i++) {
    const pt_pattern_layer *from = &pattern->layer[i];
    pt_layer *out = &request->layer[i];
    if (!from->has_target)
      return pt_fail(err, PT_NOT_FOUND,
                     "The %s of \"%s\" has no target yet; pourtone target set gives it one.", from->name,
                     pattern->name);
    *out = (pt_layer){.target = from->target,
                      .target_doubt_de00 = from->target_uncertainty_de00,
                      .target_see_through = from->see_through,
                      .cup = empty};
    memcpy(out->name, from->name, sizeof out->name);
    if (batch_name) status = take_cup(book, batch.id, from->id, request->shelf, out, err);
  }
  return status;
}

pt_status cli_book_layers(const cli_args *args, pt_advice_request *request, pt_error *err) {
  pt_book *book = NULL;
  pt_pattern pattern;
  pt_status status = cli_book_read(args, &book, err);
  if (status == PT_OK) status = pt_pattern_find(book, cli_value(args, "--pattern"), &pattern, err);
  if (status == PT_OK) status = take_layers(book, cli_value(args, "--batch"), &pattern, request, err);
  pt_book_close(book);
  return status;
}

pt_status cli_book_next(const cli_args *args, const pt_shelf *shelf, pt_next_cup *out, size_t *n,
                        pt_error *err) {
  pt_book *book = NULL;
  pt_pattern pattern;
  pt_status status = cli_book_read(args, &book, err);
  if (status == PT_OK) status = pt_pattern_find(book, cli_value(args, "--pattern"), &pattern, err);
  if (status == PT_OK) status = pt__pattern_next(book, shelf, &pattern, out, err);
  if (status == PT_OK) *n = pattern.n;
  pt_book_close(book);
  return status;
}
