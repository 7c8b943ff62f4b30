/* The last good cup of a layer, taken out of its batch and put into another. */
#include "batch/good_cup.h"

#include "batch/past_cup.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- finding ------------------------------------------------------------------------------------------- */

/* Whether what was added is of the lot that is at hand today. */
static dw_status look_at_lots(dw_book *book, int64_t cup, bool *other, dw_error *err) {
  dw_book_addition *list = NULL;
  size_t n = 0;
  dw_status status = dw_book_cup_additions(book, cup, &list, &n, err);
  *other = false;
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    dw_book_bottle bottle;
    if (!list[i].slug[0]) continue;
    status = dw_book_bottle_find(book, list[i].slug, &bottle, err);
    if (status == DW_OK && strcmp(bottle.lot_name, list[i].lot) != 0) *other = true;
  }
  free(list);
  return status;
}

static void take_drops(const dw_recipe *drops, const dw_shelf *shelf, dw_recipe_words *out) {
  out->n = drops->n;
  for (size_t i = 0; i < drops->n; i++) {
    memcpy(out->part[i].id, shelf->bottle[drops->part[i].bottle].id, sizeof out->part[i].id);
    out->part[i].amount = drops->part[i].amount;
  }
}

dw_status dw__good_cup_find(dw_book *book, const dw_pattern_layer *layer, const dw_shelf *shelf,
                            dw__good_cup *out, dw_error *err) {
  dw_layer_history history = {0};
  const dw__past past = {book, shelf, layer, &history};
  dw__past_cup good = {0};
  *out = (dw__good_cup){0};
  dw_status status = dw_layer_history_load(book, layer->id, &history, err);
  if (status == DW_OK) status = dw__past_cup_last(&past, true, &good, err);
  if (status == DW_OK && good.found) status = look_at_lots(book, good.kept.id, &out->other_lot, err);
  if (status == DW_OK && good.found) {
    const dw_batch *batch = &history.row[good.batch].batch;
    out->known = true;
    memcpy(out->batch, batch->name, sizeof out->batch);
    memcpy(out->poured, batch->poured, sizeof out->poured);
    out->volume_floz = good.cup.volume_floz;
    out->capacity_floz = good.cup.capacity_floz;
    take_drops(&good.cup.drops, shelf, &out->drops);
    out->slab = good.slab;
    out->color = good.color;
    out->doubt_de00 = good.doubt_de00;
  }
  dw_layer_history_free(&history);
  return status;
}

/* ---- putting ------------------------------------------------------------------------------------------- */

static dw_status fill(dw_book *book, int64_t cup, const dw_recipe_words *drops, dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < drops->n && status == DW_OK; i++)
    status = dw_book_cup_add(book, cup, drops->part[i].id, drops->part[i].amount, err);
  return status;
}

static dw_status put(dw_book *book, int64_t batch, int64_t layer, const dw_shelf *shelf,
                     const dw__good_cup *good, dw_error *err) {
  int64_t cup, reading;
  dw_book_reading measured = {.batch = batch,
                              .layer = layer,
                              .lab = good->color,
                              .uncertainty_de00 = good->doubt_de00,
                              .bait = DW_BAIT_ELSEWHERE,
                              .kept = NAN,
                              .gloss = NAN,
                              .flake = NAN};
  dw_status status = dw_book_cup_begin(book, batch, layer, good->volume_floz, good->capacity_floz, &cup, err);
  if (status == DW_OK) status = fill(book, cup, &good->drops, err);
  if (status == DW_OK) status = dw_keep_pour(book, cup, shelf, &good->slab, NULL, &measured.pour, err);
  return status == DW_OK ? dw_reading_log(book, &measured, &reading, err) : status;
}

/* "from creek crawfish"; the name is cut where it has no room. */
static dw_status begin(dw_book *book, int64_t pattern, const char *from, const char *poured, int64_t *id,
                       dw_error *err) {
  char whole[2 * DW_PATTERN_NAME_ROOM], name[DW_BATCH_NAME_ROOM];
  snprintf(whole, sizeof whole, "from %s", from);
  dw_copy_text(name, sizeof name, whole);
  dw_status status = dw_batch_begin(book, pattern, name, poured, id, err);
  if (status == DW_OK) status = dw_batch_set_good(book, *id, true, err);
  return status;
}

dw_status dw__good_batch_put(dw_book *book, const dw_pattern *pattern, const char *from,
                             const dw__good_cup *cups, const dw_shelf *shelf, dw_error *err) {
  const char *poured = "";
  int64_t batch = 0;
  for (size_t i = 0; i < pattern->n; i++)
    if (cups[i].known && strcmp(cups[i].poured, poured) > 0) poured = cups[i].poured;
  if (!*poured) return DW_OK;
  dw_status status = begin(book, pattern->id, from, poured, &batch, err);
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++)
    if (cups[i].known) status = put(book, batch, pattern->layer[i].id, shelf, &cups[i], err);
  return status;
}
