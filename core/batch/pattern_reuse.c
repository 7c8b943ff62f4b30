/* Layers of one pattern used in another of the same book. */
#include "batch/good_cup.h"
#include "dropwise/batch_travel.h"
#include "dropwise/book_journal.h"

#include <stdlib.h>
#include <string.h>

static dw_status take_target(dw_book *book, const dw_layer_source *from, int64_t layer, dw_error *err) {
  const dw_pattern_layer *source = &from->pattern->layer[from->layer];
  dw_target target;
  char *detail = NULL;
  if (!source->has_target) return DW_OK;
  dw_status status = dw_target_of_layer(from->pattern, source, &target, &detail, err);
  if (status == DW_OK) status = dw_target_set(book, layer, &target, err);
  free(detail);
  return status;
}

static dw_status take(dw_book *book, const dw_layer_source *from, const dw_pattern_layer *layer,
                      const dw_shelf *shelf, dw__good_cup *good, dw_notes *notes, dw_error *err) {
  if (!from->pattern) return DW_OK;
  const dw_pattern_layer *source = &from->pattern->layer[from->layer];
  dw_status status = take_target(book, from, layer->id, err);
  if (status == DW_OK && source->see_through >= 0)
    status = dw_pattern_set_see_through(book, layer->id, source->see_through, err);
  if (status == DW_OK && source->tone)
    status = dw_pattern_set_tone(book, layer->id, source->tone_name, err);
  if (status == DW_OK) status = dw__good_cup_find(book, source, shelf, good, err);
  if (status == DW_OK && good->known && good->other_lot) {
    good->known = false;
    dw_note(notes, "The %s's good cup was not taken over: a bottle of it is of another lot by now.",
            layer->name);
  }
  return status;
}

static const char *origin(const dw_layer_source *layers, size_t n, const dw__good_cup *good) {
  for (size_t i = 0; i < n; i++)
    if (good[i].known) return layers[i].pattern->name;
  return "";
}

dw_status dw_pattern_add_from(dw_book *book, const char *name, const char *note,
                              const dw_layer_source *layers, size_t n, const dw_shelf *shelf, int64_t *id,
                              dw_notes *notes, dw_error *err) {
  const char *names[DW_PATTERN_LAYERS_MAX] = {0};
  dw__good_cup good[DW_PATTERN_LAYERS_MAX] = {0};
  dw_pattern pattern;
  for (size_t i = 0; i < n && i < DW_PATTERN_LAYERS_MAX; i++) names[i] = layers[i].name;
  dw_status status = dw_pattern_add(book, name, note, names, n, id, err);
  if (status == DW_OK) status = dw_pattern_get(book, *id, &pattern, err);
  for (size_t i = 0; status == DW_OK && i < n; i++)
    status = take(book, &layers[i], &pattern.layer[i], shelf, &good[i], notes, err);
  if (status == DW_OK) status = dw__good_batch_put(book, &pattern, origin(layers, n, good), good, shelf, err);
  if (status == DW_OK) dw_book_entry_say(book, DW_ENTRY_PATTERN, *id, 0, "pattern %s added", pattern.name);
  return status;
}
