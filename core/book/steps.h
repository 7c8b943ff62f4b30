/* Inside book/: what a step at the bench wrote beside the work itself. */
#ifndef POURTONE_BOOK_STEPS_H
#define POURTONE_BOOK_STEPS_H

#include "pourtone/book_work.h"

/* In a transaction: notes what the change made and closed as part of the step behind a state of the past. */
pt_status pt__step_keep(pt_book *book, int64_t past, const pt_work_change *change, pt_error *err);
/* In a transaction: takes out what the step behind that state made, and opens what it closed.
 * Errors PT_REFUSED something else was added to it since */
pt_status pt__step_undo(pt_book *book, int64_t past, pt_work_undone *out, pt_error *err);

#endif
