#include "dropwise/batch_plan.h"

#include <stdlib.h>
#include <string.h>

static dw_status newest(dw_book *book, int64_t pattern, dw_plan_source *out, dw_error *err) {
  dw_batch *list = NULL;
  size_t n = 0;
  dw_status status = dw_batch_list(book, pattern, &list, &n, err);
  for (size_t i = 0; i < n && status == DW_OK; i++) {
    bool empty = false;
    status = dw_batch_empty(book, list[i].id, &empty, err);
    if (empty || (out->found && out->batch.good && !list[i].good)) continue;
    *out = (dw_plan_source){.found = true, .batch = list[i]};
  }
  free(list);
  return status;
}

static dw_status find_source(dw_book *book, int64_t pattern, const char *name, dw_plan_source *out,
                             dw_error *err) {
  *out = (dw_plan_source){0};
  if (!name) return newest(book, pattern, out, err);
  out->found = true;
  return dw_batch_find(book, pattern, name, &out->batch, err);
}

static dw_status take_recipe(dw_book *book, int64_t batch, int64_t layer, const dw_shelf *shelf,
                             dw_plan_layer *out, dw_error *err) {
  dw_book_cup kept;
  dw_cup cup;
  size_t missing = 0;
  dw_error none = {0};
  dw_status status = dw_book_cup_find(book, batch, layer, &kept, &none);
  if (status == DW_NOT_FOUND) return DW_OK;
  if (status == DW_OK) status = dw_book_cup_now(book, kept.id, shelf, &cup, &missing, &none);
  if (status != DW_OK) return dw_fail(err, status, "%s", none.text);
  if (missing)
    return dw_fail(err, DW_TOO_FEW, "The cup of the %s holds a bottle that is not on the shelf any more.",
                   out->name);
  dw_cup_loadings(&cup, &out->loadings);
  out->has_recipe = cup.volume_floz > 0;
  return DW_OK;
}

static bool any_recipe(const dw_plan_job *job) {
  for (size_t i = 0; i < job->n_layers; i++)
    if (job->layer[i].has_recipe && job->layer[i].loadings.n > 0) return true;
  return false;
}

/* What is advised for the next cups.  Without a target, or where nothing can be advised, no drops are planned. */
static dw_status take_advised(dw_book *book, const dw_pattern *pattern, const dw_plugins *plugins,
                              dw_plan_job *job, dw_plan_source *out, dw_error *err) {
  dw_batch_advice *advice = NULL;
  dw_status status = dw_batch_advise_next(book, pattern, plugins, job->shelf, &advice, err);
  for (size_t i = 0; status == DW_OK && advice && i < job->n_layers; i++) {
    dw_plan_layer *layer = &job->layer[i];
    size_t at = dw_request_layer_find(&advice->request, layer->name);
    if (at == advice->request.n || !advice->next[at].known) continue;
    dw_cup cup = advice->request.layer[at].cup;
    cup.drops = advice->next[at].add;
    dw_cup_loadings(&cup, &layer->loadings);
    layer->has_recipe = out->advised = true;
  }
  dw_batch_advice_free(advice);
  return status;
}

dw_status dw_plan_take_pattern(dw_book *book, const dw_pattern *pattern, const char *batch,
                               const double *share, const dw_plugins *plugins, dw_plan_job *job,
                               dw_plan_source *out, dw_error *err) {
  dw_status status = find_source(book, pattern->id, batch, out, err);
  for (size_t i = 0; status == DW_OK && i < pattern->n; i++) {
    dw_plan_layer *layer = &job->layer[job->n_layers++];
    memcpy(layer->name, pattern->layer[i].name, sizeof layer->name);
    layer->share = share[i];
    if (out->found) status = take_recipe(book, out->batch.id, pattern->layer[i].id, job->shelf, layer, err);
  }
  return status == DW_OK && !any_recipe(job) ? take_advised(book, pattern, plugins, job, out, err) : status;
}

void dw_plan_note_source(const dw_plan_job *job, const dw_plan_source *source, dw_plan *plan) {
  const char *warning = dw_shelf_warning(job->shelf);
  bool any = false;
  for (size_t i = 0; i < job->n_layers; i++) any |= job->layer[i].has_recipe;
  if (any && source->advised)
    dw_note(&plan->notes, "%s: recipes are as advised.",
            source->found ? "Nothing is in the batch's cups yet" : "Nothing of this pattern was poured yet");
  else if (any)
    dw_note(&plan->notes, "Recipes are those of batch %s.", source->batch.name);
  if (!any)
    dw_note(&plan->notes, "%s, so no drops are planned.",
            source->found ? "The batch has no cups" : "Nothing of this pattern was poured yet");
  if (any && warning) dw_note(&plan->notes, "%s", warning);
}
