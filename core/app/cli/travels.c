#include "app/cli/travels.h"

#include "dropwise/batch_turn.h"
#include "dropwise/report_turn.h"

#include <stdlib.h>

bool cli_travel_named(const char *word) {
  return (*word == 't' || *word == 'T') && word[1];
}

dw_status cli_travels_put(dw_book *book, int64_t batch, json_t *list, dw_text *out, dw_error *err) {
  dw_book_travel *travels = NULL;
  size_t n = 0;
  dw_status status = dw_travel_list(book, batch, &travels, &n, err);
  if (n > 0) dw_text_add(out, "Travels\n");
  for (size_t i = 0; i < n; i++) {
    dw_text_travel(&travels[i], out);
    if (json_array_append_new(list, dw_json_travel(&travels[i])) != 0)
      status = dw_fail_memory(err, "the travels");
  }
  free(travels);
  return status;
}

/* The travel that the command names, of its batch: --batch, or the last. */
static dw_status take(const cli_args *args, dw_book *book, dw_pattern *pattern, dw_batch *batch,
                      dw_book_travel *out, dw_error *err) {
  int64_t id;
  dw_book_travel *list = NULL;
  size_t n = 0, at = 0;
  dw_status status = cli_id(args->word[2] + 1, "travel", "dropwise reading list", &id, err);
  if (status == DW_OK) status = dw_pattern_find(book, args->word[1], pattern, err);
  if (status == DW_OK) status = cli_reading_batch(args, book, pattern, batch, err);
  if (status == DW_OK) status = dw_travel_list(book, batch->id, &list, &n, err);
  while (at < n && list[at].id != id) at++;
  if (status == DW_OK && at == n)
    status = dw_fail(err, DW_NOT_FOUND, "Batch %s has no travel t%lld; dropwise reading list shows them.",
                     batch->name, (long long)id);
  if (status == DW_OK) *out = list[at];
  free(list);
  return status;
}

dw_status cli_travel_remove(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_batch batch;
  dw_book_travel travel;
  dw_status status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = take(args, book, &pattern, &batch, &travel, err);
  if (status == DW_OK) status = dw_travel_remove(book, travel.id, err);
  return cli_say_change(args, book, status, err);
}

static dw_status move(const cli_args *args, dw_book *book, const dw_pattern *pattern, dw_batch *batch,
                      const dw_book_travel *travel, dw_error *err) {
  const char *to_batch = cli_value(args, "--to-batch"), *to_layer = cli_value(args, "--to-layer");
  const dw_pattern_layer *layer = NULL;
  size_t bait;
  dw_status status = to_batch ? cli_batch_take(args, book, pattern->id, to_batch, batch, err) : DW_OK;
  if (status == DW_OK && to_layer) status = dw_pattern_layer_find(pattern, to_layer, &layer, err);
  if (status == DW_OK) status = cli_whole(args, "--bait", 1, 100000, (size_t)travel->bait + 1, &bait, err);
  if (status != DW_OK) return status;
  return dw_travel_move(book, travel->id, batch->id, layer ? layer->id : travel->layer, (int)bait - 1, err);
}

dw_status cli_travel_correct(const cli_args *args, dw_error *err) {
  dw_book *book = NULL;
  dw_pattern pattern;
  dw_batch batch;
  dw_book_travel travel;
  dw_status status = cli_batch_ask(args, args->word[1], "--to-batch", err);
  if (status == DW_OK) status = cli_book_write(args, &book, err);
  if (status == DW_OK) status = take(args, book, &pattern, &batch, &travel, err);
  if (status == DW_OK) status = move(args, book, &pattern, &batch, &travel, err);
  return cli_say_change(args, book, status, err);
}
