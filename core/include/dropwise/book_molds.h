/* Molds kept in the book. */
#ifndef DROPWISE_BOOK_MOLDS_H
#define DROPWISE_BOOK_MOLDS_H

#include "dropwise/book.h"
#include "dropwise/plan.h"

/* Adds a mold, or puts new values to the one of that name; where cavities, bait or runner are stated anew,
 * what was left over before is forgotten: it was of another mold. In a transaction.
 * Errors as dw_mold_check; DW_BAD_INPUT a name that can't be one */
dw_status dw_book_mold_set(dw_book *book, const dw_mold *mold, dw_error *err);
/* Keeps what some fills left over: the mold takes from then on what all its records together say.  In a
 * transaction.  The same record again within a second changes nothing.
 * out  the mold as it is then
 * Errors as dw_mold_learn, dw_book_mold_find */
dw_status dw_book_mold_learn(dw_book *book, const char *name, const dw_mold_record *record, dw_mold *out,
                             dw_error *err);
/* With what was learned of it.  Errors DW_NOT_FOUND, with the name that may be meant */
dw_status dw_book_mold_find(dw_book *book, const char *name, dw_mold *out, dw_error *err);
dw_status dw_book_mold_remove(dw_book *book, const char *name, dw_error *err);
/* By name. *out owned by the caller (free) */
dw_status dw_book_mold_list(dw_book *book, dw_mold **out, size_t *n, dw_error *err);

#endif
