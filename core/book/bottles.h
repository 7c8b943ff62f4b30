/* What the parts about bottles share. */
#ifndef POURTONE_BOOK_BOTTLES_INNER_H
#define POURTONE_BOOK_BOTTLES_INNER_H

#include "pourtone/book_bottles.h"

/* Adds a shelf's bottle to the book unless it is there; a removed one comes back. */
pt_status pt__bottle_ensure(pt_book *book, const pt_bottle *bottle, pt_error *err);
/* The newest lot of a bottle. */
pt_status pt__lot_at_hand(pt_book *book, const char *slug, int64_t *lot, pt_error *err);

#endif
