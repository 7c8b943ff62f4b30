/* What the parts about bottles share. */
#ifndef POURTONE_BOOK_BOTTLES_INNER_H
#define POURTONE_BOOK_BOTTLES_INNER_H

#include "pourtone/book_bottles.h"

#define PT__DROP_ML_MIN 0.001
#define PT__DROP_ML_MAX 5.0

/* SQL: the id of the lot at hand of a bottle. */
#define PT__LOT_AT_HAND(bottle)                                                                              \
  "(SELECT id FROM lot WHERE bottle = " bottle " ORDER BY opened DESC, id DESC LIMIT 1)"

/* Adds a shelf's bottle to the book unless it is there; a removed one comes back. */
pt_status pt__bottle_ensure(pt_book *book, const pt_bottle *bottle, pt_error *err);
/* The lot of a bottle at hand: the one opened last. */
pt_status pt__lot_at_hand(pt_book *book, const char *slug, int64_t *lot, pt_error *err);

#endif
