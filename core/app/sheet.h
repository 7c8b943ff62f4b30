/* The cup sheet of what the book holds: a piece of work, or the last batch of a pattern. */
#ifndef DROPWISE_APP_SHEET_H
#define DROPWISE_APP_SHEET_H

#include "dropwise/book_pours.h"
#include "dropwise/book_work.h"
#include "dropwise/report_sheet.h"

/* out  its shelf the caller's, dw_shelf_free, on error too; large: on the heap.  Within a transaction.
 * Errors DW_NOT_FOUND no such work */
dw_status dw__sheet_of_work(dw_book *book, int64_t work, dw_units units, dw_sheet *out, dw_shelf **shelf,
                            dw_error *err);
/* The pattern's newest work, else the cups of its newest batch, else (and with next set) the cups as advised.
 * Errors DW_NOT_FOUND no such pattern, or neither a cup nor a target */
dw_status dw__sheet_of_pattern(dw_book *book, const char *pattern, bool next, dw_units units, dw_sheet *out,
                               dw_shelf **shelf, dw_error *err);

#endif
