/* The baits of a layer's batches: X-bar and R, and what differs within a shot and between batches. */
#include "batch/drift_groups.h"

#include <math.h>
#include <stdlib.h>

/* How many of a batch's baits are charted: of more than a chart takes, the first ones. */
static size_t group_size(const dw_drift_layer *layer, size_t batch) {
  size_t baits = layer->history.row[batch].baits;
  return baits > DW_GROUP_MAX ? DW_GROUP_MAX : baits;
}

/* Mean and range of a batch's CIEDE2000 to the target. */
static void group_of(const dw_drift_layer *layer, size_t batch, double *mean, double *range) {
  const dw_batch_row *row = &layer->history.row[batch];
  size_t n = group_size(layer, batch);
  double low = INFINITY, high = -INFINITY, sum = 0;
  for (size_t i = 0; i < n; i++) {
    double de00 = dw_de00(layer->target, layer->history.bait[row->first_bait + i].lab);
    low = fmin(low, de00);
    high = fmax(high, de00);
    sum += de00;
  }
  *mean = sum / (double)n;
  *range = high - low;
}

static dw_status charts_take(dw_drift_layer *layer, dw_error *err) {
  size_t n = layer->history.n, good = 0;
  dw_chart_group *groups = calloc(n + 1, sizeof *groups);
  if (!groups) return dw_fail_memory(err, "the charts");
  for (size_t i = 0; i < n; i++) {
    layer->bait_mean[i] = layer->bait_range[i] = NAN;
    if (group_size(layer, i) < 2) continue;
    group_of(layer, i, &layer->bait_mean[i], &layer->bait_range[i]);
    if (layer->history.color[i].good)
      groups[good++] = (dw_chart_group){group_size(layer, i), layer->bait_mean[i], layer->bait_range[i]};
  }
  dw_status status = DW_OK;
  if (good >= 2) status = dw_chart_groups(groups, good, &layer->groups, err);
  free(groups);
  return status;
}

static dw_status limits_take(dw_drift_layer *layer, dw_error *err) {
  dw_status status = DW_OK;
  for (size_t i = 0; i < layer->history.n && status == DW_OK && layer->groups.n; i++)
    if (group_size(layer, i) >= 2)
      status = dw_chart_group_limits(&layer->groups, group_size(layer, i), &layer->bait_limits[i].mean,
                                     &layer->bait_limits[i].range, err);
  return status;
}

static dw_status shots_take(dw_drift_layer *layer, dw_error *err) {
  size_t n = layer->history.n;
  dw_shot *shot = calloc(n + 1, sizeof *shot);
  dw_lab *lab = calloc(layer->history.n_baits + 1, sizeof *lab);
  dw_status status = shot && lab ? DW_OK : dw_fail_memory(err, "the baits");
  if (status == DW_OK) {
    for (size_t i = 0; i < layer->history.n_baits; i++) lab[i] = layer->history.bait[i].lab;
    for (size_t i = 0; i < n; i++)
      shot[i] = (dw_shot){layer->history.row[i].baits, &lab[layer->history.row[i].first_bait]};
    layer->has_shots = dw_shots_compare(layer->name, layer->target, shot, n, &layer->shots);
  }
  free(shot);
  free(lab);
  return status;
}

dw_status dw__drift_groups(dw_drift_layer *layer, dw_error *err) {
  size_t n = layer->history.n;
  layer->bait_mean = calloc(n + 1, sizeof *layer->bait_mean);
  layer->bait_range = calloc(n + 1, sizeof *layer->bait_range);
  layer->bait_limits = calloc(n + 1, sizeof *layer->bait_limits);
  const bool room = layer->bait_mean && layer->bait_range && layer->bait_limits;
  dw_status status = room ? charts_take(layer, err) : dw_fail_memory(err, "the charts");
  if (status == DW_OK) status = limits_take(layer, err);
  return status == DW_OK ? shots_take(layer, err) : status;
}
