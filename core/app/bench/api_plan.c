/* What a pour takes: molds and the plan. */
#include "app/bench/answer_json.h"
#include "app/bench/request.h"
#include "app/bench/settings.h"
#include "app/bench/transaction.h"
#include "dropwise/batch_plan.h"
#include "dropwise/book_molds.h"
#include "dropwise/report_plan.h"

#include <stdlib.h>

/* ---- molds ------------------------------------------------------------------------------------------------
 */

static json_t *mold_json(const dw_mold *mold, const dw_style *style) {
  dw_text line = {0};
  dw_text_mold_line(mold, style, &line);
  json_t *words = line.failed ? NULL : json_stringn(line.data, line.length - 1);
  dw_text_free(&line);
  return dw_json_with(dw_json_mold(mold), "words", words);
}

dw_status dw__molds_json(dw_bench *bench, json_t *root, dw_error *err) {
  dw_style style = {0};
  dw_mold *list = NULL;
  size_t n = 0;
  json_t *out = json_array();
  dw_status status = dw__units_in(bench, &style.units, err);
  if (status == DW_OK) status = dw_book_mold_list(bench->book, &list, &n, err);
  for (size_t i = 0; i < n; i++) out = dw_json_and(out, mold_json(&list[i], &style));
  free(list);
  if (json_object_set_new(root, "molds", out) != 0 && status == DW_OK)
    status = dw_fail_memory(err, "the molds");
  return status;
}

/* Ends the transaction with all molds as the answer. */
static dw_status end_with_molds(dw__exchange *x, dw_status status, dw_error *err) {
  if (status == DW_OK && !(x->json = json_object())) status = dw_fail_memory(err, "the molds");
  if (status == DW_OK) status = dw__molds_json(x->bench, x->json, err);
  return dw__book_end(x->bench, status, err);
}

dw_status dw__molds_get(dw__exchange *x, dw_error *err) {
  dw_status status = dw__book_begin_reading(x->bench, err);
  return status == DW_OK ? end_with_molds(x, status, err) : status;
}

static dw_status side_of(const json_t *body, const char *key, dw_side fallback, dw_side *out, dw_error *err) {
  const char *name;
  dw_status status = dw_json_text_of(body, key, false, &name, err);
  *out = fallback;
  if (status != DW_OK || !name || dw_side_find(name, out)) return status;
  return dw_fail(err, DW_USAGE, "\"%s\" must be toward, away, left or right, not \"%.40s\".", key, name);
}

static dw_status volume_of(const json_t *body, const char *key, bool required, dw_units units, double *ml,
                           dw_error *err) {
  double density = 0;
  const char *text;
  dw_status status = dw_json_number_of(body, "density", 0.1, 10, 0, &density, err);
  if (status == DW_OK) status = dw_json_text_of(body, key, required, &text, err);
  return status == DW_OK && text ? dw_volume_parse(text, units, density, ml, err) : status;
}

static dw_status mold_of(const json_t *body, dw_units units, dw_mold *out, dw_error *err) {
  const char *name;
  int64_t cavities = 0;
  *out = (dw_mold){0};
  dw_status status = dw_json_text_of(body, "name", true, &name, err);
  if (status == DW_OK && !dw_copy_text(out->name, sizeof out->name, name))
    status = dw_fail(err, DW_USAGE, "A mold's name has at most %d bytes.", DW_ID_ROOM - 1);
  if (status == DW_OK)
    status = dw_json_whole_of(body, "cavities", 1, DW_MOLD_CAVITIES_MAX, 0, &cavities, err);
  if (status == DW_OK) status = volume_of(body, "bait_volume", true, units, &out->bait_ml, err);
  if (status == DW_OK) status = volume_of(body, "runner_volume", false, units, &out->runner_ml, err);
  if (status == DW_OK) status = side_of(body, "sprue", DW_SIDE_TOWARD, &out->sprue, err);
  if (status == DW_OK) status = side_of(body, "back", dw_mold_usual_back(out->sprue), &out->back, err);
  out->cavities = (int)cavities;
  return status == DW_OK ? dw_mold_check(out, err) : status;
}

dw_status dw__mold_post(dw__exchange *x, dw_error *err) {
  dw_mold mold;
  dw_units units;
  dw_status status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  status = dw__units_in(x->bench, &units, err);
  if (status == DW_OK) status = mold_of(x->body, units, &mold, err);
  if (status == DW_OK) status = dw_book_mold_set(x->bench->book, &mold, err);
  return end_with_molds(x, status, err);
}

dw_status dw__mold_delete(dw__exchange *x, dw_error *err) {
  const char *name;
  dw_status status = dw_json_text_of(x->body, "name", true, &name, err);
  if (status == DW_OK) status = dw__book_begin(x, err);
  if (status != DW_OK) return status;
  return end_with_molds(x, dw_book_mold_remove(x->bench->book, name, err), err);
}

/* ---- the plan ---------------------------------------------------------------------------------------------
 */

/* Large: on the heap. */
typedef struct planning {
  dw_plan_job job;
  dw_plan plan;
  dw_plan_source source;
  dw_pattern pattern;
  dw_style style;
  dw_lab lab[DW_PLAN_LAYERS_MAX];
  const dw_lab *color[DW_PLAN_LAYERS_MAX]; /* of each layer, in lab; NULL: nobody knows */
} planning;

static dw_status take_layers(dw_bench *bench, const json_t *body, planning *p, dw_error *err) {
  dw_book *book = bench->book;
  dw_bait_picture look;
  const char *batch;
  dw_status status = dw__pattern_of(book, body, &p->pattern, err);
  if (status == DW_OK) status = dw__look_of(body, p->pattern.n, &look, err);
  if (status == DW_OK) status = dw_json_text_of(body, "batch", false, &batch, err);
  return status == DW_OK ? dw_plan_take_pattern(book, &p->pattern, batch, look.share, &bench->plugins,
                                                &p->job, &p->source, err)
                         : status;
}

static dw_status take_mold(dw_book *book, const json_t *value, dw_plan_job *job, dw_error *err) {
  const char *name;
  int64_t fills = 0;
  dw_plan_mold *mold = &job->mold[job->n_molds];
  dw_status status = dw_json_text_of(value, "name", true, &name, err);
  if (status == DW_OK) status = dw_json_whole_of(value, "fills", 0, DW_PLAN_FILLS_MAX, 0, &fills, err);
  if (status == DW_OK) status = dw_book_mold_find(book, name, &mold->mold, err);
  mold->fills = (int)fills;
  job->n_molds++;
  return status;
}

static dw_status take_molds(dw_book *book, const json_t *body, dw_plan_job *job, dw_error *err) {
  const json_t *molds = json_object_get(body, "molds");
  const size_t n = json_array_size(molds);
  dw_status status = DW_OK;
  if (n < 1 || n > DW_PLAN_MOLDS_MAX)
    return dw_fail(err, DW_USAGE, "\"molds\" must name 1 to %d molds.", DW_PLAN_MOLDS_MAX);
  for (size_t i = 0; i < n && status == DW_OK; i++)
    status = take_mold(book, json_array_get(molds, i), job, err);
  return status;
}

/* Each text of a list, read into the job. */
static dw_status take_each(const json_t *body, const char *key, const char *what, dw_plan_job *job,
                           dw_status (*read)(const char *, const char *, dw_plan_job *, dw_error *),
                           dw_error *err) {
  size_t i;
  json_t *text;
  dw_status status = DW_OK;
  json_array_foreach(json_object_get(body, key), i, text) {
    if (status != DW_OK) break;
    status = json_is_string(text) ? read(what, json_string_value(text), job, err)
                                  : dw_fail(err, DW_USAGE, "\"%s\" must be texts.", key);
  }
  return status;
}

static dw_status holds_of(const json_t *body, const char *key, const char *what, dw_units units, double *ml,
                          dw_error *err) {
  const char *text;
  double floz = 0;
  dw_status status = dw_json_text_of(body, key, false, &text, err);
  if (status == DW_OK && text) status = dw_volume_within(what, text, units, 0.01, 1000, &floz, err);
  *ml = floz * DW_ML_PER_FLOZ;
  return status;
}

static dw_status take_rest(const json_t *body, planning *p, dw_error *err) {
  dw_plan_job *job = &p->job;
  int64_t baits = 0;
  double waste = 0;
  dw_status status = holds_of(body, "chamber_volume", "A chamber", p->style.units, &job->chamber_ml, err);
  if (status == DW_OK) status = holds_of(body, "cup_volume", "A cup", p->style.units, &job->cup_ml, err);
  if (status == DW_OK)
    status = dw_json_number_of(body, "waste", 0, 100, 100 * DW_PLAN_WASTE_DEFAULT, &waste, err);
  if (status == DW_OK) status = dw_json_whole_of(body, "baits", 1, DW_PLAN_FILLS_MAX, 0, &baits, err);
  if (status == DW_OK) status = take_each(body, "additives", "An additive", job, dw_plan_additive_read, err);
  if (status == DW_OK) status = take_each(body, "powders", "A powder", job, dw_plan_powder_read, err);
  job->waste = waste / 100;
  job->baits = (int)baits;
  job->step_ml = dw_plan_step_ml(p->style.units);
  return status;
}

static dw_status load(dw__exchange *x, planning *p, dw_error *err) {
  dw_book *book = x->bench->book;
  dw_status status = dw__book_begin_reading(x->bench, err);
  if (status != DW_OK) return status;
  status = dw__units_in(x->bench, &p->style.units, err);
  if (status == DW_OK) status = take_layers(x->bench, x->body, p, err);
  if (status == DW_OK) status = take_rest(x->body, p, err);
  if (status == DW_OK) status = take_molds(book, x->body, &p->job, err);
  return dw__book_end(x->bench, status, err);
}

/* What a layer looks like by its recipe, else what it is aimed for. */
static void take_color(planning *p, size_t i) {
  const dw_plan_layer *layer = &p->job.layer[i];
  const dw_pattern_layer *kept = &p->pattern.layer[i];
  dw_prediction predicted;
  bool drops = layer->has_recipe && layer->loadings.n > 0;
  drops = drops && dw_predict(p->job.shelf, &layer->loadings, &p->job.slab, &predicted, NULL) == DW_OK;
  p->lab[i] = drops ? predicted.lab : kept->target;
  p->color[i] = drops || kept->has_target ? &p->lab[i] : NULL;
}

static json_t *mold_svg(const planning *p, size_t mold) {
  const char *names[DW_PLAN_LAYERS_MAX];
  dw_text svg = {0};
  for (size_t i = 0; i < p->job.n_layers; i++) names[i] = p->job.layer[i].name;
  dw_svg_mold(&p->job.mold[mold].mold, names, p->color, p->job.n_layers, &svg);
  json_t *out = svg.failed ? NULL : dw_json_text(svg.data ? svg.data : "");
  dw_text_free(&svg);
  return out;
}

/* As plan --json, with the words of the text and the drawings. */
static json_t *plan_json(const planning *p) {
  json_t *root = dw_json_plan(&p->job, &p->plan), *drawings = json_array(), *colors = json_array();
  for (size_t i = 0; i < p->job.n_molds; i++) drawings = dw_json_and(drawings, mold_svg(p, i));
  for (size_t i = 0; i < p->job.n_layers; i++)
    colors = dw_json_and(colors, p->color[i] ? dw_json_lab(*p->color[i]) : json_null());
  root = dw_json_with(root, "drawings", drawings);
  root = dw_json_with(root, "colors", colors);
  return dw_json_with(root, "words", dw_json_plan_words(&p->job, &p->plan, &p->style));
}

dw_status dw__plan_post(dw__exchange *x, dw_error *err) {
  dw_shelf *shelf = NULL;
  planning *p = calloc(1, sizeof *p);
  dw_status status = p ? dw__shelf_get(x->bench, &shelf, err) : dw_fail_memory(err, "the plan");
  if (status == DW_OK) {
    p->job.shelf = shelf;
    p->job.slab = dw_slab_usual();
    status = load(x, p, err);
  }
  if (status == DW_OK) status = dw_plan_make(&p->job, &p->plan, err);
  if (status == DW_OK) {
    dw_plan_note_source(&p->job, &p->source, &p->plan);
    for (size_t i = 0; i < p->job.n_layers; i++) take_color(p, i);
    if (!(x->json = plan_json(p))) status = dw_fail_memory(err, "the plan");
  }
  dw_shelf_free(shelf);
  free(p);
  return status;
}
