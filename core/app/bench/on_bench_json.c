/* WORK: what lies on the bench, its cups as the batch has them. */
#include "app/bench/on_bench.h"

#include "app/bench/request.h"
#include "app/bench/settings.h"
#include "dropwise/batch.h"
#include "dropwise/batch_heat.h"
#include "dropwise/batch_tone.h"

#include <math.h>
#include <stdlib.h>

/* ---- what was read of a cup as it is ----------------------------------------------------------------------
 */

/* The last pour where it holds all that is in the cup by now. */
typedef struct as_poured {
  int64_t pour; /* 0: none */
  bool measured;
  dw_lab lab;
  double uncertainty_de00;
  dw_set_aside aside;
} as_poured;

static dw_status as_poured_load(dw_book *book, const dw_book_cup *cup, const dw_shelf *shelf, as_poured *out,
                                dw_error *err) {
  dw_pour_kept *list = NULL;
  size_t n = 0;
  *out = (as_poured){0};
  dw_status status = dw_pours_trusted(book, cup, shelf, &list, &n, &out->aside, err);
  const dw_pour_kept *last = status == DW_OK && n > 0 ? &list[n - 1] : NULL;
  if (last && last->additions == cup->additions) {
    out->pour = last->id;
    out->measured = last->has_measured;
    out->lab = last->measured;
    out->uncertainty_de00 = last->uncertainty_de00;
  } else {
    out->aside = (dw_set_aside){0};
  }
  free(list);
  return status;
}

/* [{photo, lab}] of the cup as it is: of that pour, or of an empty cup whatever the batch has of its layer.
 */
static json_t *read_json(const dw_reading_kept *list, size_t n, const dw_book_cup *cup, int64_t pour) {
  json_t *out = json_array();
  for (size_t i = 0; i < n; i++)
    if (list[i].layer == cup->layer && list[i].pour == pour && (pour || cup->additions == 0))
      out =
          dw_json_and(out, json_pack("{s:s, s:o}", "photo", list[i].photo, "lab", dw_json_lab(list[i].lab)));
  return out;
}

/* ---- a cup ------------------------------------------------------------------------------------------------
 */

typedef struct cups_of {
  dw_book *book;
  const dw_shelf *shelf;
  const dw_reading_kept *reading;
  size_t n;
  const dw_heat_note *heat;
  size_t n_heat;
} cups_of;

static json_t *heat_json(const cups_of *of, int64_t cup) {
  json_t *out = json_array();
  for (size_t i = 0; i < of->n_heat; i++)
    if (of->heat[i].cup == cup) out = dw_json_and(out, dw_json_heat_note(&of->heat[i]));
  return out;
}

static json_t *cup_pack(const dw_book_cup *cup, const char *layer, const dw_book_addition *list, size_t n,
                        const as_poured *poured, json_t *read) {
  char seen[DW__SEEN_ROOM];
  dw__cup_seen(cup, list, n, seen);
  json_t *out = json_pack("{s:s, s:s, s:I, s:f, s:f, s:o, s:o, s:o}", "layer", layer, "seen", seen,
                          "additions", (json_int_t)cup->additions, "volume_floz", cup->volume_floz,
                          "capacity_floz", cup->capacity_floz, "drops", dw__additions_drops_json(list, n),
                          "log", dw__additions_json(list, n), "read", read);
  out = dw_json_with(out, "temperature_f",
                     isnan(cup->temperature_f) ? json_null() : dw_json_round(cup->temperature_f, 1));
  out = dw_json_with(out, "measured", poured->measured ? dw_json_lab(poured->lab) : json_null());
  if (poured->measured)
    out = dw_json_with(out, "measured_uncertainty_de00", dw_json_round(poured->uncertainty_de00, 2));
  if (poured->aside.n == 0) return out;
  char words[DW_NOTE_TEXT];
  dw_aside_words(&poured->aside, words, sizeof words);
  return dw_json_with(out, "set_aside", json_string(words));
}

/* A layer that came into the pattern later has no cup yet: one of the usual size is shown. */
static dw_status cup_or_none(const cups_of *of, int64_t batch, int64_t layer, dw_book_cup *out,
                             dw_error *err) {
  dw_error none;
  dw_status status =
      batch ? dw_book_cup_find(of->book, batch, layer, out, &none) : dw_fail(&none, DW_NOT_FOUND, "-");
  if (status == DW_NOT_FOUND) {
    *out = (dw_book_cup){.layer = layer, .temperature_f = NAN};
    return dw_book_fresh_cup(of->book, &out->volume_floz, &out->capacity_floz, err);
  }
  if (status != DW_OK && err) *err = none;
  return status;
}

static dw_status cup_json(const cups_of *of, int64_t batch, const dw_pattern_layer *layer, json_t **cups,
                          dw_error *err) {
  dw_book_cup cup;
  dw_book_addition *list = NULL;
  as_poured poured = {0};
  dw_toned tone = {0};
  size_t n = 0;
  dw_status status = cup_or_none(of, batch, layer->id, &cup, err);
  if (status == DW_OK && cup.id) status = dw_book_cup_additions(of->book, cup.id, &list, &n, err);
  if (status == DW_OK && cup.id) status = as_poured_load(of->book, &cup, of->shelf, &poured, err);
  if (status == DW_OK && poured.measured) status = dw_toned_place(of->book, layer, poured.lab, &tone, err);
  if (status == DW_OK) {
    json_t *packed =
        cup_pack(&cup, layer->name, list, n, &poured, read_json(of->reading, of->n, &cup, poured.pour));
    *cups = dw_json_and(
        *cups, dw_json_with(dw_json_with(packed, "heat", heat_json(of, cup.id)), "tone",
                            tone.known ? dw_json_tone(tone.name, tone.color, &tone.spot) : json_null()));
  }
  free(list);
  return status;
}

static dw_status cups_json(dw_book *book, const dw_book_bench *row, const dw_pattern *pattern, json_t **cups,
                           dw_error *err) {
  cups_of of = {.book = book};
  dw_shelf *shelf = NULL;
  dw_reading_kept *readings = NULL;
  dw_heat_note *heat = NULL;
  dw_status status = dw_book_shelf(book, &shelf, NULL, err);
  if (status == DW_OK) status = dw_book_shelf_hold(book, shelf, err);
  if (status == DW_OK && row->batch) status = dw_reading_list(book, row->batch, &readings, &of.n, err);
  if (status == DW_OK && row->batch) status = dw_book_heat_list(book, row->batch, &heat, &of.n_heat, err);
  of.shelf = shelf, of.reading = readings, of.heat = heat;
  *cups = json_array();
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++)
    status = cup_json(&of, row->batch, &pattern->layer[i], cups, err);
  free(readings);
  free(heat);
  dw_shelf_free(shelf);
  return status;
}

/* How even its cups are; null without a batch. */
static dw_status even_json(dw_bench *bench, int64_t batch, json_t **out, dw_error *err) {
  dw_settings settings;
  dw_heat_spread spread;
  dw_status status = batch ? dw__settings_in(bench, &settings, err) : DW_OK;
  if (status == DW_OK && batch) status = dw_heat_spread_get(bench->book, batch, &settings, &spread, err);
  if (status == DW_OK) *out = batch ? dw_json_heat_spread(&spread) : json_null();
  return status;
}

/* ---- the whole --------------------------------------------------------------------------------------------
 */

/* {"entry", "words"} of what undo or redo would take; null: nothing. */
static dw_status step_json(dw_book *book, dw_status (*which)(dw_book *, dw_entry *, dw_error *), json_t **out,
                           dw_error *err) {
  dw_entry entry;
  dw_error none;
  dw_status status = which(book, &entry, &none);
  *out = status == DW_OK ? json_pack("{s:I, s:s}", "entry", (json_int_t)entry.id, "words", entry.words)
                         : json_null();
  if (status != DW_OK && status != DW_NOT_FOUND && status != DW_REFUSED) {
    if (err) *err = none;
    return status;
  }
  return DW_OK;
}

/* null: no batch yet, or one that was removed. */
static dw_status batch_name_json(dw_book *book, int64_t id, json_t **out, dw_error *err) {
  dw_batch batch;
  dw_status status = id ? dw_batch_get(book, id, &batch, err) : DW_NOT_FOUND;
  if (status != DW_OK && status != DW_NOT_FOUND) return status;
  *out = status == DW_OK ? json_string(batch.name) : json_null();
  return DW_OK;
}

static dw_status row_json(dw_bench *bench, const dw_book_bench *row, json_t **out, dw_error *err) {
  dw_book *book = bench->book;
  dw__on_bench on = {.row = *row}; /* borrowed */
  int64_t tick = 0;
  char seen[DW__SEEN_ROOM], cups_seen[DW__SEEN_ROOM];
  json_t *cups = NULL, *heat = NULL, *undo = NULL, *redo = NULL, *batch_name = NULL;
  dw__on_bench_seen(row, seen);
  dw_status status = dw_pattern_get(book, row->pattern, &on.pattern, err);
  if (status == DW_OK) status = dw__cups_seen(book, &on, cups_seen, err);
  if (status == DW_OK) status = dw_book_tick(book, &tick, err);
  if (status == DW_OK) status = cups_json(book, row, &on.pattern, &cups, err);
  if (status == DW_OK) status = even_json(bench, row->batch, &heat, err);
  if (status == DW_OK) status = step_json(book, dw_entry_to_undo, &undo, err);
  if (status == DW_OK) status = step_json(book, dw_entry_to_redo, &redo, err);
  if (status == DW_OK) status = batch_name_json(book, row->batch, &batch_name, err);
  if (status == DW_OK) {
    *out = json_pack("{s:I, s:I, s:s, s:s, s:s, s:I, s:o, s:O, s:o, s:o, s:O, s:O, s:o, s:O, s:O, s:s}", "id",
                     (json_int_t)row->id, "revision", (json_int_t)tick, "seen", seen, "cups_seen", cups_seen,
                     "name", row->name, "pattern", (json_int_t)row->pattern, "batch",
                     row->batch ? json_integer(row->batch) : json_null(), "batch_name", batch_name, "photo",
                     row->photo[0] ? json_string(row->photo) : json_null(), "marks", dw__parsed(row->marks),
                     "cups", cups, "heat", heat, "slab", dw__parsed(row->slab), "undo", undo, "redo", redo,
                     "updated", row->updated);
    if (!*out) status = dw_fail_memory(err, "the bench");
  }
  json_decref(cups);
  json_decref(heat);
  json_decref(undo);
  json_decref(redo);
  json_decref(batch_name);
  return status;
}

dw_status dw__work_json(dw_bench *bench, int64_t id, json_t **out, dw_error *err) {
  dw_book_bench row = {0};
  dw_status status = dw_book_bench_get(bench->book, id, &row, err);
  if (status == DW_OK) status = row_json(bench, &row, out, err);
  dw_book_bench_free(&row);
  return status;
}
