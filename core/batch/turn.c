/* Travels of turned baits, kept and compared. */
#include "dropwise/batch_turn.h"

#include <math.h>
#include <stdlib.h>

/* ---- kept ---------------------------------------------------------------------------------------------- */

static json_t *photo_json(const dw_turn *turn, const dw_turn_layer *layer, size_t i) {
  const dw_layer_reading *at = &layer->at[i];
  return json_pack("{s:s, s:o, s:o, s:o, s:o}", "photo", turn->sha256[i], "path",
                   dw_json_text(turn->photo[i].path), "shape", dw_json_shape(&at->shape), "lab",
                   dw_json_lab(at->reading.lab), "uncertainty_de00",
                   dw_json_round(at->reading.uncertainty_de00, 2));
}

/* The photos, and between which of them it was judged. */
static char *detail_of(const dw_turn *turn, const dw_turn_layer *layer) {
  json_t *photos = json_array();
  for (size_t i = 0; i < turn->photos; i++) photos = dw_json_and(photos, photo_json(turn, layer, i));
  json_t *json = json_pack("{s:o, s:I, s:I}", "photos", photos, "from", (json_int_t)layer->travel.from, "to",
                           (json_int_t)layer->travel.to);
  char *text = json ? dw_json_write(json, JSON_COMPACT) : NULL;
  json_decref(json);
  return text;
}

static dw_status keep_layer(dw_book *book, const dw_pattern *pattern, int64_t batch, int bait,
                            const dw_turn *turn, const dw_turn_layer *layer, dw_error *err) {
  const dw_travel *from = &layer->travel;
  const dw_pattern_layer *of;
  int64_t id;
  dw_error why;
  if (dw_pattern_layer_find(pattern, layer->name, &of, &why) != DW_OK)
    return dw_fail(err, DW_BAD_INPUT, "%s", why.text);
  const dw_book_travel travel = {.layer = of->id,
                                 .batch = batch,
                                 .bait = bait,
                                 .travels = from->verdict == DW_TRAVEL_TRAVELS,
                                 .de00 = from->de00,
                                 .doubt_de00 = from->doubt_de00,
                                 .hue_deg = from->hue_deg,
                                 .hue_doubt_deg = from->hue_doubt_deg,
                                 .p = from->p};
  char *detail = detail_of(turn, layer);
  dw_status status =
      detail ? dw_travel_log(book, &travel, detail, &id, err) : dw_fail_memory(err, "the turned photos");
  free(detail);
  return status;
}

dw_status dw_keep_turn(dw_book *book, const dw_pattern *pattern, int64_t batch, int bait, const dw_turn *turn,
                       size_t *kept, dw_error *err) {
  dw_status status = DW_OK;
  *kept = 0;
  for (size_t i = 0; i < turn->n && status == DW_OK; i++) {
    if (turn->layer[i].travel.verdict == DW_TRAVEL_UNCLEAR) continue;
    status = keep_layer(book, pattern, batch, batch ? bait : 0, turn, &turn->layer[i], err);
    ++*kept;
  }
  if (status == DW_OK && !*kept)
    status = dw_fail(err, DW_REFUSED, "Nothing was kept: %s",
                     turn->n ? turn->layer[0].travel.words : "no layer was read.");
  return status;
}

/* ---- compared ------------------------------------------------------------------------------------------ */

static void against(double de00, double doubt_de00, const dw_book_travel *target, dw_travel_against *out) {
  *out = (dw_travel_against){.de00 = target->de00, .doubt_de00 = target->doubt_de00};
  dw_travel_compare(de00, doubt_de00, "the target", out);
}

dw_status dw_turn_against_target(dw_book *book, const dw_pattern *pattern, const dw_turn *turn,
                                 dw_travel_against *out, dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < turn->n && status == DW_OK; i++) {
    const dw_travel *travel = &turn->layer[i].travel;
    const bool unclear = travel->verdict == DW_TRAVEL_UNCLEAR;
    const dw_pattern_layer *layer;
    dw_book_travel target;
    out[i] = (dw_travel_against){.de00 = NAN, .doubt_de00 = NAN, .more_de00 = NAN, .more_doubt_de00 = NAN};
    if (dw_pattern_layer_find(pattern, turn->layer[i].name, &layer, NULL) != DW_OK) continue;
    status = dw_travel_target(book, layer->id, &target, err);
    if (status == DW_OK && target.id)
      against(unclear ? NAN : travel->de00, travel->doubt_de00, &target, &out[i]);
  }
  return status;
}

/* ---- through the batches ------------------------------------------------------------------------------- */

/* Of the travels [from, to) of one batch. */
static dw_batch_travel batch_mean(const dw_book_travel *list, size_t from, size_t to) {
  const double n = (double)(to - from);
  dw_batch_travel out = {.batch = list[from].batch, .baits = to - from};
  double own = 0, apart = 0;
  for (size_t i = from; i < to; i++) {
    out.de00 += list[i].de00 / n;
    out.hue_deg += list[i].hue_deg / n;
    own += list[i].doubt_de00 * list[i].doubt_de00;
    out.travelling += list[i].travels;
  }
  for (size_t i = from; i < to; i++) apart += (list[i].de00 - out.de00) * (list[i].de00 - out.de00);
  out.doubt_de00 = fmax(sqrt(own) / n, sqrt(apart / (fmax(n - 1, 1) * n)));
  return out;
}

static void words_fill(dw_layer_travels *out) {
  const dw_batch_travel *last = &out->batch[out->n - 1];
  int used =
      snprintf(out->words, sizeof out->words, "%s by %.1f (doubt %.1f) between the angles.",
               last->travelling ? "It travels" : "It does not travel beyond what photos tell:", last->de00,
               last->doubt_de00);
  const dw_travel_against *to[] = {&out->to_target, &out->to_before};
  for (size_t i = 0; i < 2 && used > 0 && (size_t)used < sizeof out->words; i++)
    if (to[i]->known)
      used += snprintf(out->words + used, sizeof out->words - (size_t)used, " %s", to[i]->words);
}

static void compare(dw_layer_travels *out) {
  const dw_batch_travel *last = &out->batch[out->n - 1];
  if (out->target.id) against(last->de00, last->doubt_de00, &out->target, &out->to_target);
  if (out->n > 1) {
    out->to_before = (dw_travel_against){.de00 = last[-1].de00, .doubt_de00 = last[-1].doubt_de00};
    dw_travel_compare(last->de00, last->doubt_de00, "the batch before", &out->to_before);
  }
  words_fill(out);
}

dw_status dw_layer_travels_load(dw_book *book, int64_t layer, dw_layer_travels *out, dw_error *err) {
  dw_book_travel *list = NULL;
  size_t n = 0;
  *out = (dw_layer_travels){.n = 0};
  dw_status status = dw_travel_target(book, layer, &out->target, err);
  if (status == DW_OK) status = dw_travel_history(book, layer, &list, &n, err);
  if (status == DW_OK && n && !(out->batch = calloc(n, sizeof *out->batch)))
    status = dw_fail_memory(err, "the travels");
  for (size_t i = 0, next; status == DW_OK && i < n; i = next) {
    for (next = i + 1; next < n && list[next].batch == list[i].batch;) next++;
    out->batch[out->n++] = batch_mean(list, i, next);
  }
  if (status == DW_OK && out->n) compare(out);
  free(list);
  return status;
}
