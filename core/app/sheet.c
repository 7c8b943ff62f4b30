#include "app/sheet.h"

#include "app/held.h"
#include "app/history.h"
#include "app/keep.h"
#include "app/values.h"

#include <stdlib.h>
#include <string.h>
#include <time.h>

/* ---- one cup ----------------------------------------------------------------------------------------------
 */

static void take_target(const pt_pattern *pattern, pt_sheet_cup *cup) {
  const pt_pattern_layer *layer;
  if (pt_pattern_layer_find(pattern, cup->layer, &layer, NULL) != PT_OK || !layer->has_target) return;
  cup->has_target = true;
  cup->target = layer->target;
}

/* The color of the drops, where nothing was measured and only the first `known` bottles are in the cup. */
static void predict(const pt_sheet *sheet, size_t known, pt_sheet_cup *cup) {
  pt_recipe loadings;
  pt_prediction prediction;
  for (size_t i = 0; i < cup->cup.drops.n; i++)
    if (cup->cup.drops.part[i].bottle >= known) return;
  if (cup->has_color || cup->cup.drops.n == 0) return;
  pt_cup_loadings(&cup->cup, &loadings);
  if (pt_predict(sheet->shelf, &loadings, &sheet->slab, &prediction, NULL) != PT_OK) return;
  cup->has_color = true;
  cup->color = prediction.lab;
}

static pt_status begin(pt_book *book, const pt_pattern *pattern, pt_units units, pt_sheet *out,
                       pt_shelf **shelf, pt_error *err) {
  time_t now = time(NULL);
  struct tm local;
  *out = (pt_sheet){.units = units, .slab = {10, PT_BACKING_GRAY}};
  pt_copy_text(out->title, sizeof out->title, pattern->name);
  pt_copy_text(out->note, sizeof out->note, pattern->note);
  localtime_r(&now, &local);
  strftime(out->date, sizeof out->date, "%Y-%m-%d", &local);
  pt_status status = pt_book_shelf(book, shelf, NULL, err);
  out->shelf = *shelf;
  return status;
}

/* ---- from a piece of work ---------------------------------------------------------------------------------
 */

static pt_status work_cup(const json_t *json, const pt_pattern *pattern, size_t known, pt_sheet *out,
                          pt_error *err) {
  pt_sheet_cup *cup = &out->cup[out->n];
  const json_t *measured = json_object_get(json, "measured");
  const char *layer = json_string_value(json_object_get(json, "layer"));
  pt_copy_text(cup->layer, sizeof cup->layer, layer ? layer : "");
  pt_status status = pt__cup_of(json, out->shelf, &cup->cup, err);
  if (status == PT_OK && json_is_array(measured)) {
    status = pt__lab_of(measured, "measured", &cup->color, err);
    cup->has_color = cup->measured = status == PT_OK;
    cup->uncertainty_de00 = json_number_value(json_object_get(json, "measured_uncertainty_de00"));
  }
  if (status != PT_OK) return status;
  take_target(pattern, cup);
  predict(out, known, cup);
  out->n++;
  return PT_OK;
}

pt_status pt__sheet_of_work(pt_book *book, int64_t id, pt_units units, pt_sheet *out, pt_shelf **shelf,
                            pt_error *err) {
  pt_work work = {0};
  pt_pattern pattern;
  json_t *cups = NULL, *slab = NULL;
  pt_status status = pt_work_get(book, id, &work, err);
  if (status == PT_OK) status = pt_pattern_get(book, work.pattern, &pattern, err);
  if (status == PT_OK) status = begin(book, &pattern, units, out, shelf, err);
  if (status != PT_OK) goto done;
  pt_copy_text(out->title, sizeof out->title, work.name);
  cups = json_loads(work.cups, 0, NULL);
  slab = json_loads(work.slab, 0, NULL);
  size_t known = (*shelf)->n;
  status = pt__slab_of(slab, &out->slab, err);
  if (status == PT_OK && pt__cups_lack(cups, *shelf)) status = pt__shelf_hold(book, cups, *shelf, err);
  for (size_t i = 0; i < json_array_size(cups) && out->n < PT_LAYERS_MAX && status == PT_OK; i++)
    status = work_cup(json_array_get(cups, i), &pattern, known, out, err);
done:
  json_decref(cups);
  json_decref(slab);
  pt_work_free(&work);
  return status;
}

/* ---- from a batch -----------------------------------------------------------------------------------------
 */

/* What was measured of the cup, by the readings that are trusted. */
static pt_status take_measured(pt_book *book, const pt_book_cup *kept, const pt_shelf *shelf,
                               pt_sheet_cup *cup, pt_error *err) {
  bool found;
  pt_lab now;
  double doubt = 0;
  pt_status status = pt__cup_measured(book, kept, shelf, &found, &now, &doubt, err);
  if (status != PT_OK || !found) return status;
  cup->has_color = cup->measured = true;
  cup->color = now;
  cup->uncertainty_de00 = doubt;
  return PT_OK;
}

static pt_status batch_cup(pt_book *book, int64_t batch, const pt_pattern_layer *layer,
                           const pt_pattern *pattern, pt_sheet *out, pt_error *err) {
  pt_book_cup kept;
  size_t missing;
  pt_sheet_cup *cup = &out->cup[out->n];
  pt_status status = pt_book_cup_find(book, batch, layer->id, &kept, err);
  if (status == PT_NOT_FOUND) return PT_OK;
  if (status == PT_OK) status = pt_book_cup_now(book, kept.id, out->shelf, &cup->cup, &missing, err);
  if (status != PT_OK) return status;
  pt_copy_text(cup->layer, sizeof cup->layer, layer->name);
  take_target(pattern, cup);
  status = take_measured(book, &kept, out->shelf, cup, err);
  if (missing == 0) predict(out, out->shelf->n, cup);
  out->n++;
  return status;
}

/* What to pour next, of every layer that has a target. */
static pt_status of_advice(pt_book *book, const pt_pattern *pattern, pt_sheet *out, pt_error *err) {
  pt_status status = PT_OK;
  pt_copy_text(out->source, sizeof out->source, "As advised, not poured yet");
  for (size_t i = 0; i < pattern->n && status == PT_OK; i++) {
    pt_sheet_cup *cup = &out->cup[out->n];
    if (!pattern->layer[i].has_target) continue;
    status = pt__advised_cup(book, out->shelf, &pattern->layer[i], &out->slab, 0, &cup->cup, err);
    pt_copy_text(cup->layer, sizeof cup->layer, pattern->layer[i].name);
    take_target(pattern, cup);
    if (status == PT_OK) predict(out, out->shelf->n, cup);
    out->n++;
  }
  if (status == PT_OK && out->n == 0)
    status =
        pt_fail(err, PT_NOT_FOUND,
                "No layer of \"%s\" has a target yet, and no cup was poured; pourtone target set gives them "
                "targets.",
                pattern->name);
  return status;
}

static pt_status of_newest_batch(pt_book *book, const pt_pattern *pattern, bool next, pt_units units,
                                 pt_sheet *out, pt_shelf **shelf, pt_error *err) {
  pt_batch *list = NULL;
  size_t n = 0;
  pt_status status = pt_batch_list(book, pattern->id, &list, &n, err);
  if (status == PT_OK) status = begin(book, pattern, units, out, shelf, err);
  for (size_t i = 0; n > 0 && !next && i < pattern->n && status == PT_OK; i++)
    status = batch_cup(book, list[n - 1].id, &pattern->layer[i], pattern, out, err);
  if (status == PT_OK && out->n > 0)
    snprintf(out->source, sizeof out->source, "Batch %s, poured %.10s", list[n - 1].name, list[n - 1].poured);
  free(list);
  return status == PT_OK && out->n == 0 ? of_advice(book, pattern, out, err) : status;
}

pt_status pt__sheet_of_pattern(pt_book *book, const char *name, bool next, pt_units units, pt_sheet *out,
                               pt_shelf **shelf, pt_error *err) {
  pt_pattern pattern;
  pt_work_title *list = NULL;
  size_t n = 0, i = 0;
  pt_status status = pt_pattern_find(book, name, &pattern, err);
  if (status == PT_OK) status = pt_work_list(book, &list, &n, err);
  while (status == PT_OK && !next && i < n && strcmp(list[i].pattern, pattern.name) != 0) i++;
  int64_t work = status == PT_OK && !next && i < n ? list[i].id : 0;
  free(list);
  if (status != PT_OK) return status;
  if (work) return pt__sheet_of_work(book, work, units, out, shelf, err);
  return of_newest_batch(book, &pattern, next, units, out, shelf, err);
}
