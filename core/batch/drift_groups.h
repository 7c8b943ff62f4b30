#ifndef BATCH_DRIFT_GROUPS_H
#define BATCH_DRIFT_GROUPS_H

#include "dropwise/batch_drift.h"

/* Fills what the layer's baits say; its history and target are there. */
dw_status dw__drift_groups(dw_drift_layer *layer, dw_error *err);

#endif
