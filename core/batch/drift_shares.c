/* A swirl's color: its share of the bait, batch by batch. */
#include "batch/drift_shares.h"

#include <math.h>
#include <stdlib.h>

static void shares_take(const dw_layer_history *history, dw_drift_shares *out) {
  for (size_t i = 0; i < history->n; i++) {
    const dw_batch_row *row = &history->row[i];
    if (!row->shares) continue;
    out->row[out->n] = i;
    out->batch[out->n++] = (dw_batch_share){row->share, row->share_doubt, row->batch.good};
  }
}

dw_status dw__drift_shares(const dw_pattern *pattern, const dw_pattern_layer *from, dw_drift_layer *layer,
                           dw_error *err) {
  dw_drift_shares *out = &layer->shares_of;
  const size_t n = layer->history.n;
  if (!pattern->swirl) return DW_OK;
  layer->swirl = true;
  out->target = from->share >= 0 ? from->share : NAN;
  out->row = calloc(n + 1, sizeof *out->row);
  out->batch = calloc(n + 1, sizeof *out->batch);
  out->check = calloc(n + 1, sizeof *out->check);
  if (!out->row || !out->batch || !out->check) return dw_fail_memory(err, "the shares");
  shares_take(&layer->history, out);
  if (out->n)
    return dw_shares_check(layer->name, out->target, out->batch, out->n, out->check, &out->result, err);
  snprintf(out->result.words, sizeof out->result.words,
           "The share of the %s was read of no batch yet: photograph its baits (dropwise read --pattern NAME "
           "--batch "
           "WHEN).",
           layer->name);
  return DW_OK;
}
