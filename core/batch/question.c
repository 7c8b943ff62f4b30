/* The question of a batch: the pattern's layers, their targets and their cups as they are. */
#include "batch/carry.h"
#include "dropwise/batch_advice.h"
#include "dropwise/batch_tone.h"
#include "dropwise/book_settings.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- where the plastic is looked at -------------------------------------------------------------------- */

/* The slab of a batch's newest pour; *when "" when it has none. */
static dw_status newest_of(dw_book *book, int64_t batch, const dw_pattern *pattern, char when[DW_TIME_ROOM],
                           dw_slab *out, dw_error *err) {
  dw_status status = DW_OK;
  when[0] = '\0';
  /* -fanalyzer: only dw_batch_question_begin may be given no pattern */
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++) {
    dw_book_cup cup;
    dw_pour_kept *list = NULL;
    size_t n = 0;
    status = dw_book_cup_find(book, batch, pattern->layer[i].id, &cup, err);
    if (status == DW_OK) status = dw_pour_list(book, cup.id, &list, &n, err);
    if (status == DW_NOT_FOUND) status = DW_OK;
    if (status == DW_OK && n > 0 && strcmp(list[n - 1].poured, when) >= 0) {
      memcpy(when, list[n - 1].poured, DW_TIME_ROOM);
      *out = list[n - 1].slab;
    }
    free(list);
  }
  return status;
}

static dw_status newest_slab(dw_book *book, const dw_pattern *pattern, int64_t batch, dw_slab *out,
                             dw_error *err) {
  char when[DW_TIME_ROOM];
  dw_batch *list = NULL;
  size_t n = 0;
  *out = dw_slab_usual();
  if (batch) return newest_of(book, batch, pattern, when, out, err);
  dw_status status = dw_batch_list(book, pattern->id, &list, &n, err); /* -fanalyzer: as above */
  for (when[0] = '\0'; n > 0 && !when[0] && status == DW_OK; n--)
    status = newest_of(book, list[n - 1].id, pattern, when, out, err);
  free(list);
  return status;
}

static dw_status choose_slab(dw_book *book, const dw_pattern *pattern, int64_t batch, const dw_slab *said,
                             dw_slab *out, dw_error *err) {
  dw_status status = newest_slab(book, pattern, batch, out, err);
  if (!isnan(said->thickness_mm)) out->thickness_mm = said->thickness_mm;
  if (!isnan(said->backing)) out->backing = said->backing;
  return status;
}

/* ---- cups ---------------------------------------------------------------------------------------------- */

/* A color measured on one slab as it would be on the question's: what it missed there is missed here. */
static dw_status bring_here(const dw_shelf *shelf, const dw_slab *there, const dw_slab *here, dw_layer *layer,
                            dw_error *err) {
  dw_lab was, is;
  if (there->thickness_mm == here->thickness_mm && there->backing == here->backing) return DW_OK;
  dw_status status = dw__cup_predict(shelf, &layer->cup, there, &was, err);
  if (status == DW_OK) status = dw__cup_predict(shelf, &layer->cup, here, &is, err);
  if (status != DW_OK) return status;
  layer->measured.L += is.L - was.L;
  layer->measured.a += is.a - was.a;
  layer->measured.b += is.b - was.b;
  return DW_OK;
}

/* The layer's cup of that batch and what its last measurement says; left as it is where the book has none.
 * *missing bottles of it that the shelf lacks. */
static dw_status take_cup(dw_book *book, int64_t batch, int64_t id, const dw_advice_request *request,
                          dw_layer *layer, size_t *missing, dw_error *err) {
  dw_book_cup kept;
  dw_slab there;
  dw_status status = dw_book_cup_find(book, batch, id, &kept, err);
  *missing = 0;
  if (status == DW_NOT_FOUND) return DW_OK;
  if (status == DW_OK) status = dw_book_cup_now(book, kept.id, request->shelf, &layer->cup, missing, err);
  if (status != DW_OK || *missing) return status;
  status = dw_cup_measured(book, &kept, request->shelf, &layer->has_measured, &layer->measured,
                           &layer->measured_uncertainty_de00, &there, err);
  if (status == DW_OK && layer->has_measured)
    status = bring_here(request->shelf, &there, &request->slab, layer, err);
  return status;
}

static dw_layer layer_of(const dw_pattern_layer *from, const dw_cup *fresh) {
  dw_layer out = {.target = from->target,
                  .target_doubt_de00 = from->target_uncertainty_de00,
                  .target_see_through = from->see_through,
                  .cup = *fresh};
  memcpy(out.name, from->name, sizeof out.name);
  return out;
}

dw_status dw_batch_question_begin(dw_book *book, const dw_pattern *pattern, dw_batch_question *out,
                                  dw_error *err) {
  dw_settings own;
  dw_rules *rules = &out->request.rules;
  dw_status status = dw_book_settings_get(book, &own, NULL, err);
  out->book = book;
  out->pattern = pattern;
  out->usual_floz = own.volume_floz;
  out->request.kept = own.numbers;
  *rules = dw_rules_default();
  dw_settings_rules(&own, out->request.shelf, rules);
  out->request.clean_blends = pattern && pattern->clean_blends;
  if (pattern) dw_unwanted_rules(pattern->unwanted, out->request.shelf, rules);
  return status;
}

dw_status dw_batch_question_load(dw_book *book, const dw_pattern *pattern, int64_t batch,
                                 const dw_shelf *shelf, const dw_cup *fresh, const dw_slab *said,
                                 dw_batch_question *out, dw_error *err) {
  dw_advice_request *request = &out->request;
  request->shelf = shelf;
  dw_status status = dw_batch_question_begin(book, pattern, out, err);
  if (status == DW_OK) status = choose_slab(book, pattern, batch, said, &request->slab, err);
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++) {
    const dw_pattern_layer *from = &pattern->layer[i];
    dw_layer *layer = &request->layer[request->n];
    size_t missing = 0;
    if (!dw_pattern_layer_aimed(from)) continue;
    *layer = layer_of(from, fresh);
    status = dw_layer_tone_take(book, from, layer, err);
    if (status == DW_OK && batch) status = take_cup(book, batch, from->id, request, layer, &missing, err);
    if (missing)
      dw_note(&out->left_out,
              "The cup of the %s holds a bottle without chips, whose color can't be predicted.", layer->name);
    request->n += missing == 0;
  }
  return status;
}

/* ---- by name ------------------------------------------------------------------------------------------- */

size_t dw_request_layer_find(const dw_advice_request *request, const char *name) {
  size_t i = 0;
  while (i < request->n && strcmp(request->layer[i].name, name) != 0) i++;
  return i;
}

static const dw_layer_reading *reading_of(const dw_photo_reading *reading, const char *name) {
  for (size_t i = 0; i < reading->n; i++)
    if (strcmp(reading->layer[i].name, name) == 0) return &reading->layer[i];
  return NULL;
}

dw_status dw_request_take_reading(const dw_photo_reading *reading, dw_advice_request *request,
                                  dw_error *err) {
  for (size_t i = 0; i < request->n; i++) {
    dw_layer *layer = &request->layer[i];
    const dw_layer_reading *found = reading_of(reading, layer->name);
    if (!found)
      return dw_fail(err, DW_NOT_FOUND, "%s has no marked layer \"%s\", which the pattern asks for.",
                     reading->path, layer->name);
    layer->has_measured = true;
    layer->measured = found->reading.lab;
    layer->measured_uncertainty_de00 = found->reading.uncertainty_de00;
  }
  return DW_OK;
}
