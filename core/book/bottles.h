/* What the parts about bottles share. */
#ifndef DROPWISE_BOOK_BOTTLES_INNER_H
#define DROPWISE_BOOK_BOTTLES_INNER_H

#include "dropwise/book_bottles.h"
#include "dropwise/book_pours.h"

/* SQL: the id of the lot at hand of a bottle. */
#define DW__LOT_AT_HAND(bottle)                                                                              \
  "(SELECT id FROM lot WHERE bottle = " bottle " ORDER BY opened DESC, id DESC LIMIT 1)"

/* SQL: joins a lot's strength as s, as learned on the spectra in use. */
#define DW__STRENGTH_OF(lot)                                                                                 \
  " LEFT JOIN strength s ON s.id = (SELECT max(id) FROM strength WHERE lot = " lot                           \
  " AND fit IS (SELECT max(id) FROM fit)) "

/* Adds a shelf's bottle to the book unless it is there; a removed one comes back.
 * starter  it is one of the starter shelf; else it is the maker's own from now on */
dw_status dw__bottle_ensure(dw_book *book, const dw_bottle *bottle, bool starter, dw_error *err);
/* The lot of a bottle at hand: the one opened last.  find: a bottle of the starter shelf joins the book. */
dw_status dw__lot_find(dw_book *book, const char *slug, int64_t *lot, dw_error *err);
dw_status dw__lot_at_hand(dw_book *book, const char *slug, int64_t *lot, dw_error *err);

/* DW_NOT_FOUND names the nearest: neither the book nor the starter shelf has such a bottle. */
dw_status dw__bottle_known(dw_book *book, const char *slug, dw_error *err);
/* That of each bottle of a list. */
dw_status dw__unwanted_check(dw_book *book, const char *list, dw_error *err);
dw_status dw__chip_admit(const dw_chip *chip, dw_error *err);
/* One more part of a chip, of the lot at hand; the bottle joins the book. */
dw_status dw__chip_part_add(dw_book *book, int64_t chip, const dw_bottle *bottle, double loading,
                            dw_error *err);
/* The id of the very same chip beside the one of id `but`; 0: there is none. */
dw_status dw__chip_find(dw_book *book, const dw_shelf *shelf, const dw_chip *chip, int64_t but, int64_t *id,
                        dw_error *err);

/* DW_NOT_FOUND: there is no such cup. */
dw_status dw__cup_get(dw_book *book, int64_t id, dw_book_cup *out, dw_error *err);
/* As dw_book_cup_add, without a word in the entry. */
dw_status dw__cup_add(dw_book *book, int64_t cup, const char *slug, double amount, dw_error *err);
/* "... in the belly of batch 1 of frog: was 12, is 3", what NULL: the words of clear base. */
dw_status dw__tell_corrected(dw_book *book, int64_t cup, const char *what, double was, double is,
                             dw_error *err);
/* Pours that held the addition at the position (-1: what the cup was begun with) lose what was predicted of
 * them. */
dw_status dw__forget_predicted(dw_book *book, int64_t cup, int64_t position, dw_error *err);

/* Takes away what was fitted and learned of chips, where no bottle has a chip any more and no cup holds a bottle that a fit
 * knows: such a cup is predicted by it.  At the end of every removal of chips. */
dw_status dw__fits_forget(dw_book *book, dw_error *err);

#endif
