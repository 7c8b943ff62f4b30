/* What the forms of a drift report share. */
#ifndef DROPWISE_REPORT_DRIFT_INNER_H
#define DROPWISE_REPORT_DRIFT_INNER_H

#include "dropwise/report_drift.h"

const char *dw__verdict_word(const dw_drift_layer *layer); /* "drift"; what JSON calls it */
const char *dw__share_verdict_word(const dw_drift_layer *layer);
/* What the chart's axis must reach: the values and the limit; at least 1. */
double dw__chart_top(const dw_drift_layer *layer);
/* Whether the chart has limits to draw. */
bool dw__chart_has_limits(const dw_drift_layer *layer);
bool dw__beyond(double value, const dw_chart_limits *limits);
/* X-bar and R of the baits as SVG, below each other; nothing where there is no such chart. */
void dw__groups_svg(const dw_drift_layer *layer, dw_text *out);
/* "lighter, duller" from the target to the batch. */
void dw__batch_words(const dw_drift_layer *layer, size_t batch, char *out, size_t room);

#endif
