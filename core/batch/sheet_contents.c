#include "dropwise/batch_sheet.h"
#include "dropwise/mix_json.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* ---- one cup ----------------------------------------------------------------------------------------------
 */

static void take_target(const dw_pattern *pattern, dw_sheet_cup *cup) {
  const dw_pattern_layer *layer;
  if (dw_pattern_layer_find(pattern, cup->layer, &layer, NULL) != DW_OK || !layer->has_target) return;
  cup->has_target = true;
  cup->target = layer->target;
}

/* The color of the drops, where nothing was measured and only the first `known` bottles are in the cup. */
static void predict(const dw_sheet *sheet, size_t known, dw_sheet_cup *cup) {
  dw_recipe loadings;
  dw_prediction prediction;
  for (size_t i = 0; i < cup->cup.drops.n; i++)
    if (cup->cup.drops.part[i].bottle >= known) return;
  if (cup->has_color || cup->cup.drops.n == 0) return;
  dw_cup_loadings(&cup->cup, &loadings);
  if (dw_predict(sheet->shelf, &loadings, &sheet->slab, &prediction, NULL) != DW_OK) return;
  cup->has_color = true;
  cup->color = prediction.lab;
}

static dw_status begin(dw_book *book, const dw_pattern *pattern, dw_units units, dw_sheet *out,
                       dw_shelf **shelf, dw_error *err) {
  time_t now = time(NULL);
  struct tm local;
  *out = (dw_sheet){.units = units, .slab = dw_slab_usual(), .pattern = pattern->id};
  dw_copy_text(out->title, sizeof out->title, pattern->name);
  dw_copy_text(out->note, sizeof out->note, pattern->note);
  localtime_r(&now, &local);
  strftime(out->date, sizeof out->date, "%Y-%m-%d", &local);
  dw_status status = dw_book_shelf(book, shelf, NULL, err);
  if (status == DW_OK) status = dw_book_shelf_hold(book, *shelf, err);
  out->shelf = *shelf;
  if (status == DW_OK && *(*shelf)->lacking)
    dw_bottle_lack_words((*shelf)->lacking, false, out->lack, sizeof out->lack);
  return status;
}

/* ---- from a batch -----------------------------------------------------------------------------------------
 */

/* What was measured of the cup, by the readings that are trusted. */
static dw_status take_measured(dw_book *book, const dw_book_cup *kept, const dw_shelf *shelf,
                               dw_sheet_cup *cup, dw_error *err) {
  bool found;
  dw_lab now;
  double doubt = 0;
  dw_status status = dw_cup_measured(book, kept, shelf, &found, &now, &doubt, NULL, err);
  if (status != DW_OK || !found) return status;
  cup->has_color = cup->measured = true;
  cup->color = now;
  cup->uncertainty_de00 = doubt;
  return DW_OK;
}

static dw_status take_heat(dw_book *book, const dw_book_cup *kept, dw_sheet_cup *cup, dw_error *err) {
  dw_heat_note *notes = NULL;
  size_t n = 0;
  cup->temperature_f = kept->temperature_f;
  cup->minute = -1;
  dw_status status = dw_book_heat_list(book, kept->batch, &notes, &n, err);
  for (size_t i = 0; i < n; i++) {
    if (notes[i].cup != kept->id) continue;
    cup->reheats += notes[i].reheat;
    if (!isnan(notes[i].temperature_f)) cup->minute = notes[i].minute;
  }
  free(notes);
  return status;
}

static dw_status take_spread(dw_book *book, dw_sheet *out, dw_error *err) {
  dw_settings settings;
  dw_status status = dw_book_settings_get(book, &settings, NULL, err);
  if (status != DW_OK) return status;
  settings.units = out->units;
  return dw_heat_spread_get(book, out->batch, &settings, &out->heat, err);
}

/* known  how many bottles of the sheet's shelf can be predicted */
static dw_status batch_cup(dw_book *book, int64_t batch, const dw_pattern_layer *layer,
                           const dw_pattern *pattern, size_t known, dw_sheet *out, dw_error *err) {
  dw_book_cup kept;
  size_t missing;
  dw_sheet_cup *cup = &out->cup[out->n];
  dw_status status = dw_book_cup_find(book, batch, layer->id, &kept, err);
  if (status == DW_NOT_FOUND) return DW_OK;
  if (status == DW_OK) status = dw_book_cup_now(book, kept.id, out->shelf, &cup->cup, &missing, err);
  if (status != DW_OK) return status;
  dw_copy_text(cup->layer, sizeof cup->layer, layer->name);
  take_target(pattern, cup);
  status = take_measured(book, &kept, out->shelf, cup, err);
  if (status == DW_OK) status = take_heat(book, &kept, cup, err);
  if (missing == 0) predict(out, known, cup);
  out->n++;
  return status;
}

static dw_status of_batch(dw_book *book, const dw_pattern *pattern, int64_t batch, dw_sheet *out,
                          dw_shelf *shelf, dw_error *err) {
  size_t known = shelf->n;
  out->batch = batch;
  dw_status status = dw_shelf_add_blanks(book, pattern, batch, shelf, err);
  for (size_t i = 0; i < pattern->n && status == DW_OK; i++)
    status = batch_cup(book, batch, &pattern->layer[i], pattern, known, out, err);
  return status == DW_OK ? take_spread(book, out, err) : status;
}

dw_status dw_sheet_of_bench(dw_book *book, int64_t id, dw_units units, dw_sheet *out, dw_shelf **shelf,
                            dw_error *err) {
  dw_book_bench bench = {0};
  dw_pattern pattern;
  json_t *slab = NULL;
  dw_status status = dw_book_bench_get(book, id, &bench, err);
  if (status == DW_OK) status = dw_pattern_get(book, bench.pattern, &pattern, err);
  if (status == DW_OK) status = begin(book, &pattern, units, out, shelf, err);
  if (status != DW_OK) goto done;
  dw_copy_text(out->title, sizeof out->title, bench.name);
  status = dw_json_parse(bench.slab, strlen(bench.slab), "the bench's slab", &slab, err);
  if (status == DW_OK) status = dw_json_slab_of(slab, &out->slab, err);
  if (status == DW_OK && bench.batch) status = of_batch(book, &pattern, bench.batch, out, *shelf, err);
done:
  json_decref(slab);
  dw_book_bench_free(&bench);
  return status;
}

/* What to pour next, of every layer that has a target. */
static void take_advice(const dw_batch_advice *advice, const dw_pattern *pattern, dw_sheet *out) {
  out->slab = advice->request.slab;
  for (size_t i = 0; i < advice->request.n; i++) {
    const dw_next_cup *next = &advice->next[i];
    dw_sheet_cup *cup = &out->cup[out->n];
    if (!next->known) continue;
    dw_copy_text(cup->layer, sizeof cup->layer, advice->request.layer[i].name);
    cup->cup = advice->request.layer[i].cup;
    cup->cup.drops = next->add;
    cup->has_color = true;
    cup->color = next->predicted;
    cup->temperature_f = NAN;
    take_target(pattern, cup);
    out->n++;
  }
}

static dw_status of_advice(dw_book *book, const dw_pattern *pattern, const dw_plugins *plugins, dw_sheet *out,
                           dw_error *err) {
  dw_batch_advice *advice = NULL;
  dw_copy_text(out->source, sizeof out->source, "As advised, not poured yet");
  dw_status status = dw_batch_advise_next(book, pattern, plugins, out->shelf, &advice, err);
  if (status == DW_OK && !advice)
    status = dw_fail(err, DW_NOT_FOUND,
                     "No layer of \"%s\" has a target or a natural tone yet, and no cup was poured; dropwise "
                     "target set gives them "
                     "targets.",
                     pattern->name);
  if (status == DW_OK) take_advice(advice, pattern, out);
  if (status == DW_OK && out->n == 0)
    status = dw_fail(err, DW_NOT_FOUND, "No cup of \"%s\" can be advised on.", pattern->name);
  dw_batch_advice_free(advice);
  return status;
}

/* Whether something is in a cup of the batch. */
static dw_status batch_holds(dw_book *book, const dw_pattern *pattern, int64_t batch, bool *out,
                             dw_error *err) {
  dw_status status = DW_OK;
  *out = false;
  for (size_t i = 0; i < pattern->n && !*out && status == DW_OK; i++) {
    dw_book_cup cup;
    status = dw_book_cup_find(book, batch, pattern->layer[i].id, &cup, err);
    *out = status == DW_OK && cup.additions > 0;
    if (status == DW_NOT_FOUND) status = DW_OK;
  }
  return status;
}

static dw_status of_newest_batch(dw_book *book, const dw_pattern *pattern, dw_sheet *out, dw_shelf *shelf,
                                 dw_error *err) {
  dw_batch *list = NULL;
  size_t n = 0;
  bool holds = false;
  dw_status status = dw_batch_list(book, pattern->id, &list, &n, err);
  while (status == DW_OK && n > 0 && !holds) status = batch_holds(book, pattern, list[--n].id, &holds, err);
  if (status == DW_OK && holds) status = of_batch(book, pattern, list[n].id, out, shelf, err);
  if (status == DW_OK && holds)
    snprintf(out->source, sizeof out->source, "Batch %s, poured %.10s", list[n].name, list[n].poured);
  free(list);
  return status;
}

dw_status dw_sheet_of_pattern(dw_book *book, const char *name, const dw_plugins *plugins, bool next,
                              dw_units units, dw_sheet *out, dw_shelf **shelf, dw_error *err) {
  dw_pattern pattern;
  dw_status status = dw_pattern_find(book, name, &pattern, err);
  if (status == DW_OK) status = begin(book, &pattern, units, out, shelf, err);
  if (status == DW_OK && !next) status = of_newest_batch(book, &pattern, out, *shelf, err);
  return status == DW_OK && out->n == 0 ? of_advice(book, &pattern, plugins, out, err) : status;
}

/* ---- as it will be ------------------------------------------------------------------------------------- */

static void take_advised(const dw_batch_advice *advice, dw_sheet *sheet) {
  for (size_t i = 0; i < sheet->n; i++) {
    dw_sheet_cup *cup = &sheet->cup[i];
    cup->has_advised = cup->cup.drops.n > 0 && dw_batch_advised_cup(advice, cup->layer, &cup->advised);
  }
}

dw_status dw_sheet_advise(dw_book *book, const dw_plugins *plugins, dw_sheet *sheet, dw_error *err) {
  const dw_cup as_last = {0};
  dw_pattern pattern;
  dw_batch_advice *advice = NULL;
  dw_error why;
  if (!sheet->batch) return DW_OK;
  dw_batch_question *question = calloc(1, sizeof *question);
  if (!question) return dw_fail_memory(err, "what is advised");
  question->plugins = plugins;
  dw_status status = dw_pattern_get(book, sheet->pattern, &pattern, &why);
  if (status == DW_OK)
    status = dw_batch_question_load(book, &pattern, sheet->batch, sheet->shelf, &as_last, &sheet->slab,
                                    question, &why);
  if (status == DW_OK && question->request.n > 0) status = dw_batch_advise(question, &advice, &why);
  if (status == DW_OK && advice) take_advised(advice, sheet);
  dw_batch_advice_free(advice);
  free(question);
  return status == DW_NO_MEMORY ? dw_fail_memory(err, "what is advised") : DW_OK;
}

/* ---- in the mold --------------------------------------------------------------------------------------- */

dw_status dw_sheet_set_mold(dw_sheet *sheet, const dw_mold *mold, dw_error *err) {
  dw_status status = dw_mold_chambers(mold, sheet->n, sheet->chamber, err);
  sheet->has_mold = status == DW_OK;
  sheet->mold = *mold;
  return status;
}
