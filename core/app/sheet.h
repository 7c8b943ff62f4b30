/* The cup sheet of what the book holds: a piece of work, or the last batch of a pattern. */
#ifndef POURTONE_APP_SHEET_H
#define POURTONE_APP_SHEET_H

#include "pourtone/book_pours.h"
#include "pourtone/book_work.h"
#include "pourtone/report_sheet.h"

/* out  its shelf the caller's, pt_shelf_free, on error too; large: on the heap.  Within a transaction.
 * Errors PT_NOT_FOUND no such work */
pt_status pt__sheet_of_work(pt_book *book, int64_t work, pt_units units, pt_sheet *out, pt_shelf **shelf,
                            pt_error *err);
/* The pattern's newest work, else the cups of its newest batch, else (and with next set) the cups as advised.
 * Errors PT_NOT_FOUND no such pattern, or neither a cup nor a target */
pt_status pt__sheet_of_pattern(pt_book *book, const char *pattern, bool next, pt_units units, pt_sheet *out,
                               pt_shelf **shelf, pt_error *err);

#endif
