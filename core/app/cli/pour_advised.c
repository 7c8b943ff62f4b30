/* Cups filled as advised, so that nobody types a recipe again. */
#include "app/cli/pour.h"

#include <stdlib.h>

static dw_status ask(const cli_args *args, dw_book *book, cli_poured *poured, dw_batch_question *question,
                     dw_error *err) {
  dw_pattern pattern;
  dw_shelf *shelf = NULL;
  dw_cup fresh = {0};
  question->plugins = &poured->plugins;
  dw_status status = cli_volume(args, "--volume", 0.01, 1000, 0, &fresh.volume_floz, err);
  if (status == DW_OK) status = cli_volume(args, "--capacity", 0.01, 2000, 0, &fresh.capacity_floz, err);
  if (status == DW_OK) status = dw_pattern_find(book, args->word[0], &pattern, err);
  if (status == DW_OK) status = dw_book_shelf(book, &shelf, NULL, err);
  if (status == DW_OK) status = dw_book_shelf_hold(book, shelf, err);
  if (status == DW_OK)
    status = dw_batch_question_load(book, &pattern, 0, shelf, &fresh, &poured->slab, question, err);
  if (status == DW_OK && question->request.n > 0) status = dw_batch_advise(question, &poured->advised, err);
  dw_shelf_free(shelf);
  return status;
}

dw_status cli_pour_ask(const cli_args *args, cli_poured *poured, dw_error *err) {
  dw_book *book = NULL;
  if (cli_has(args, "--cup") || cli_has(args, "--add") || cli_has(args, "--clear"))
    return dw_fail(err, DW_USAGE, "--advised says what is in the cup; leave out --cup, --add and --clear.");
  dw_batch_question *question = calloc(1, sizeof *question);
  if (!question) return dw_fail_memory(err, "the advice");
  dw_status status = cli_book_read(args, &book, err);
  if (status == DW_OK) status = ask(args, book, poured, question, err);
  free(question);
  return cli_book_done(book, status, err);
}

/* The advice names bottles of a shelf that is gone by now; in a recipe's text they stand by name. */
static dw_status fill(const cli_args *args, dw_book *book, cli_poured *poured, const dw_pattern_layer *layer,
                      dw_error *err) {
  const dw_batch_advice *advised = poured->advised;
  const size_t at = advised ? dw_request_layer_find(&advised->request, layer->name) : 0;
  int64_t id, pour;
  if (!dw_pattern_layer_aimed(layer))
    return dw_fail(err, DW_NOT_FOUND,
                   "The %s has no target yet, so nothing can be advised; dropwise target set "
                   "gives it one.",
                   layer->name);
  if (!advised || at == advised->request.n || !advised->next[at].known)
    return dw_fail(err, DW_NOT_FOUND, "No recipe for the %s can be advised.", layer->name);
  const dw_cup *cup = &advised->request.layer[at].cup;
  dw_status status =
      dw_book_cup_begin(book, poured->batch.id, layer->id, cup->volume_floz, cup->capacity_floz, &id, err);
  if (status == DW_OK) status = cli_pour_drops(book, id, advised->next[at].recipe, err);
  if (status == DW_OK)
    status = cli_cup_temperature(args, book, id, poured->warning, sizeof poured->warning, err);
  if (status != DW_OK) return status;
  return dw_keep_pour(book, id, poured->shelf, &advised->request.slab, &advised->next[at].predicted, &pour,
                      err);
}

dw_status cli_pour_advised(const cli_args *args, dw_book *book, cli_poured *poured,
                           const dw_pattern_layer *only, dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < poured->pattern.n && status == DW_OK; i++)
    if (!only || only == &poured->pattern.layer[i])
      status = fill(args, book, poured, &poured->pattern.layer[i], err);
  return status;
}
