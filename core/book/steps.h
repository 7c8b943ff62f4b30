/* Inside book/: what a step at the bench wrote beside the work itself. */
#ifndef DROPWISE_BOOK_STEPS_H
#define DROPWISE_BOOK_STEPS_H

#include "dropwise/book_work.h"

/* In a transaction: notes what the change made and closed as part of the step behind a state of the past. */
dw_status dw__step_keep(dw_book *book, int64_t past, const dw_work_change *change, dw_error *err);
/* In a transaction: takes out what the step behind that state made, and opens what it closed.
 * Errors DW_REFUSED something else was added to it since */
dw_status dw__step_undo(dw_book *book, int64_t past, dw_work_undone *out, dw_error *err);

#endif
