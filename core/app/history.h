/* The book's history of a pattern turned into answers. */
#ifndef DROPWISE_APP_HISTORY_H
#define DROPWISE_APP_HISTORY_H

#include "dropwise/report_drift.h"

enum { DW_HEAT_POURS_MIN = 8 }; /* batches from which a rank correlation can tell anything */

/* All of a pattern's layers checked for drift, with the lots that changed and what the temperatures say.
 * out  large: on the heap; dw_drift_report_free, on error too */
dw_status dw__history_load(dw_book *book, const char *pattern, dw_drift_report *out, dw_error *err);
/* dw__next_cup of every layer that drifted (all layers when none did). */
dw_status dw__history_advise(dw_book *book, const dw_shelf *shelf, dw_drift_report *report, dw_error *err);

/* The next cup of a layer: the last good batch's drops again, corrected where a new lot or a later cup says,
 * by more than the doubt, that they give another color by now; without a good batch the last cup corrected
 * toward the target, what was measured of it carried along.  known false: words alone */
dw_status dw__next_cup(dw_book *book, const dw_shelf *shelf, const dw_pattern_layer *layer,
                       const dw_layer_history *history, dw_next_cup *next, dw_error *err);
/* What to pour into a fresh cup of the layer: its next cup, else a first recipe for its target.
 * volume_floz  of clear base, the drops by it; 0: as the last one, or 4
 * Errors DW_NOT_FOUND the layer has no target */
dw_status dw__advised_cup(dw_book *book, const dw_shelf *shelf, const dw_pattern_layer *layer,
                          const dw_slab *slab, double volume_floz, dw_cup *out, dw_error *err);
/* dw__next_cup of every layer of a pattern; out has pattern->n. */
dw_status dw__pattern_next(dw_book *book, const dw_shelf *shelf, const dw_pattern *pattern, dw_next_cup *out,
                           dw_error *err);

#endif
