/* What the forms of a drift report share. */
#ifndef POURTONE_REPORT_DRIFT_INNER_H
#define POURTONE_REPORT_DRIFT_INNER_H

#include "pourtone/report_drift.h"

const char *pt__verdict_word(const pt_drift_layer *layer); /* "drift"; what JSON calls it */
/* What the chart's axis must reach: the values and the limit; at least 1. */
double pt__chart_top(const pt_drift_layer *layer);
/* Whether the chart has limits to draw. */
bool pt__chart_has_limits(const pt_drift_layer *layer);
/* "lighter, duller" from the target to the batch. */
void pt__batch_words(const pt_drift_layer *layer, size_t batch, char *out, size_t room);

#endif
