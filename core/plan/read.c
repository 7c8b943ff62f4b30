/* What a person types of a plan: shares, additives, powders. */
#include "dropwise/plan.h"

#include <math.h>
#include <string.h>

#define STEP_US_ML (0.25 * DW_ML_PER_FLOZ)
#define STEP_METRIC_ML 5.0

double dw_plan_step_ml(dw_units units) {
  return units == DW_UNITS_METRIC ? STEP_METRIC_ML : STEP_US_ML;
}

bool dw_plan_shares(const double *percent, size_t n, double *share) {
  double sum = 0;
  for (size_t i = 0; i < n; i++) {
    if (!(percent[i] >= 1 && percent[i] <= 100)) return false;
    sum += percent[i];
  }
  if (!(fabs(sum - 100) <= 1)) return false;
  for (size_t i = 0; i < n; i++) share[i] = percent[i] / sum;
  return true;
}

dw_status dw_plan_additive_read(const char *what, const char *text, dw_plan_job *job, dw_error *err) {
  const char *percent;
  dw_additive *additive = &job->additive[job->n_additives];
  if (job->n_additives == DW_PLAN_EXTRAS_MAX)
    return dw_fail(err, DW_USAGE, "A plan holds at most %d additives.", DW_PLAN_EXTRAS_MAX);
  if (!dw_split_named(text, additive->name, &percent) || !percent ||
      !dw_parse_number_in(percent, 0, 100, &additive->share))
    return dw_fail(err, DW_USAGE, "%s takes a name and a percentage, as in softener=5, not \"%.60s\".", what,
                   text);
  additive->share /= 100;
  job->n_additives++;
  return DW_OK;
}

static bool amount_of(const char *text, dw_powder *out) {
  const char *unit;
  double number;
  if (!dw_parse_number(text, &unit, &number) || !(number > 0)) return false;
  if (strcmp(unit, "g") != 0 && strcmp(unit, "tsp") != 0) return false;
  *(*unit == 'g' ? &out->grams_floz : &out->teaspoons_floz) = number;
  return true;
}

/* The layer whose name text begins with, up to the colon; NULL: none. */
static dw_plan_layer *layer_named(dw_plan_job *job, const char *text, const char *colon) {
  const size_t n = (size_t)(colon - text);
  for (size_t i = 0; i < job->n_layers; i++)
    if (strlen(job->layer[i].name) == n && strncmp(job->layer[i].name, text, n) == 0) return &job->layer[i];
  return NULL;
}

dw_status dw_plan_powder_read(const char *what, const char *text, dw_plan_job *job, dw_error *err) {
  const char *colon = strchr(text, ':'), *amount;
  dw_powder powder = {0};
  if (!colon || !dw_split_named(colon + 1, powder.name, &amount) || !amount || !amount_of(amount, &powder))
    return dw_fail(
        err, DW_USAGE,
        "%s takes a layer, a name and an amount per fl oz, as in belly:flake=0.2g or belly:pearl=0.1tsp, "
        "not \"%.60s\".",
        what, text);
  dw_plan_layer *layer = layer_named(job, text, colon);
  if (!layer || layer->n_powders == DW_PLAN_EXTRAS_MAX)
    return dw_fail(err, DW_USAGE, "%s \"%.60s\" names no layer of the pattern, or one powder too many.", what,
                   text);
  layer->powder[layer->n_powders++] = powder;
  return DW_OK;
}
