#ifndef BATCH_DRIFT_SHARES_H
#define BATCH_DRIFT_SHARES_H

#include "dropwise/batch_drift.h"

/* Fills what the layer's shares say, where it is the color of a swirl; its history is there. */
dw_status dw__drift_shares(const dw_pattern *pattern, const dw_pattern_layer *from, dw_drift_layer *layer,
                           dw_error *err);

#endif
