/* Whether a batch marked good deserves it: its limits and the next cup stand on it. */
#include "app/cli/pour.h"

#include <stdio.h>
#include <stdlib.h>

/* From the target, beside the doubt of target and reading; what a careful pour stays within (an assumption).
 */
#define GOOD_MOST_DE00 5.0
#define DOUBT_SIGMAS 2.0

/* The layer of the batch that is farthest beyond what a good one may be; *off 0 when none is. */
static dw_status farthest_off(dw_book *book, const cli_poured *poured, const dw_pattern_layer **out,
                              double *off, dw_error *err) {
  dw_status status = DW_OK;
  *off = 0;
  for (size_t l = 0; l < poured->pattern.n && status == DW_OK; l++) {
    const dw_pattern_layer *layer = &poured->pattern.layer[l];
    dw_layer_history history = {0};
    if (!layer->has_target) continue;
    status = dw_layer_history_load(book, layer->id, &history, err);
    for (size_t i = 0; i < history.n; i++) {
      if (history.row[i].batch.id != poured->batch.id) continue;
      double away = dw_de00(layer->target, history.color[i].lab);
      double doubt = DOUBT_SIGMAS * (layer->target_uncertainty_de00 + history.color[i].uncertainty_de00);
      if (away <= (doubt > GOOD_MOST_DE00 ? doubt : GOOD_MOST_DE00) || away <= *off) continue;
      *off = away;
      *out = layer;
    }
    dw_layer_history_free(&history);
  }
  return status;
}

/* Nothing in any cup and nothing read: there is no batch to judge. */
static dw_status check_poured(dw_book *book, const cli_poured *poured, dw_error *err) {
  dw_book_cup *cups = NULL;
  dw_reading_kept *readings = NULL;
  size_t n = 0, n_readings = 0, additions = 0;
  dw_status status = dw_book_cup_list(book, poured->batch.id, &cups, &n, err);
  if (status == DW_OK) status = dw_reading_list(book, poured->batch.id, &readings, &n_readings, err);
  for (size_t i = 0; i < n; i++) additions += cups[i].additions;
  free(cups);
  free(readings);
  if (status != DW_OK || additions || n_readings) return status;
  return dw_fail(err, DW_BAD_INPUT, "Nothing was poured in batch %s yet: it can't be marked good.",
                 poured->batch.name);
}

dw_status cli_pour_good(const cli_args *args, dw_book *book, cli_poured *poured, dw_error *err) {
  const dw_pattern_layer *layer = NULL;
  const char *pattern = poured->pattern.name, *batch = poured->batch.name;
  double off = 0;
  bool wanted = cli_has(args, "--good"), forced = cli_has(args, "--force");
  if (wanted && cli_has(args, "--not-good"))
    return dw_fail(err, DW_USAGE, "Give either --good or --not-good, not both.");
  if (cli_has(args, "--not-good")) return dw_batch_set_good(book, poured->batch.id, false, err);
  if (!wanted && !poured->batch.good) return DW_OK;
  dw_status status = wanted ? check_poured(book, poured, err) : DW_OK;
  if (status == DW_OK) status = farthest_off(book, poured, &layer, &off, err);
  if (status != DW_OK) return status;
  if (wanted && off > 0 && !forced) {
    snprintf(
        poured->warning, sizeof poured->warning,
        "Not marked good: its %.40s is %.1f from the target. If it is all the same: dropwise pour \"%.40s\" "
        "--batch %.20s --good --force",
        layer->name, off, pattern, batch);
    return DW_OK;
  }
  if (!wanted && off > 0)
    snprintf(
        poured->warning, sizeof poured->warning,
        "Batch %.20s is marked good, but its %.40s is %.1f from the target; --not-good takes the mark back.",
        batch, layer->name, off);
  return wanted ? dw_batch_set_good(book, poured->batch.id, true, err) : DW_OK;
}
