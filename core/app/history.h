/* The book's history of a pattern turned into answers. */
#ifndef POURTONE_APP_HISTORY_H
#define POURTONE_APP_HISTORY_H

#include "pourtone/report_drift.h"

enum { PT_HEAT_POURS_MIN = 8 }; /* batches from which a rank correlation can tell anything */

/* All of a pattern's layers checked for drift, with the lots that changed and what the temperatures say.
 * out  large: on the heap; pt_drift_report_free, on error too */
pt_status pt__history_load(pt_book *book, const char *pattern, pt_drift_report *out, pt_error *err);
/* pt__next_cup of every layer that drifted (all layers when none did). */
pt_status pt__history_advise(pt_book *book, const pt_shelf *shelf, pt_drift_report *report, pt_error *err);

/* The next cup of a layer: the last good batch's drops again, corrected where a new lot or a later cup says,
 * by more than the doubt, that they give another color by now; without a good batch the last cup corrected
 * toward the target, what was measured of it carried along.  known false: words alone */
pt_status pt__next_cup(pt_book *book, const pt_shelf *shelf, const pt_pattern_layer *layer,
                       const pt_layer_history *history, pt_next_cup *next, pt_error *err);
/* What to pour into a fresh cup of the layer: its next cup, else a first recipe for its target.
 * volume_floz  of clear base, the drops by it; 0: as the last one, or 4
 * Errors PT_NOT_FOUND the layer has no target */
pt_status pt__advised_cup(pt_book *book, const pt_shelf *shelf, const pt_pattern_layer *layer,
                          const pt_slab *slab, double volume_floz, pt_cup *out, pt_error *err);
/* pt__next_cup of every layer of a pattern; out has pattern->n. */
pt_status pt__pattern_next(pt_book *book, const pt_shelf *shelf, const pt_pattern *pattern, pt_next_cup *out,
                           pt_error *err);

#endif
