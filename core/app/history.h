/* The book's history of a pattern turned into answers. */
#ifndef POURTONE_APP_HISTORY_H
#define POURTONE_APP_HISTORY_H

#include "pourtone/report_drift.h"

enum { PT_HEAT_POURS_MIN = 8 }; /* batches from which a rank correlation can tell anything */

/* All of a pattern's layers checked for drift, with the lots that changed and what the temperatures say.
 * out  large: on the heap; pt_drift_report_free, on error too */
pt_status pt__history_load(pt_book *book, const char *pattern, pt_drift_report *out, pt_error *err);
/* The correction for the next cup of every layer that drifted (all layers when none did), from the bottles of
 * its last cup, with what the last measurement showed carried along. */
pt_status pt__history_advise(pt_book *book, const pt_shelf *shelf, pt_drift_report *report, pt_error *err);

#endif
