/* The book: bottles, their lots, chips and fits, and the shelf that these make. */
#ifndef DROPWISE_BOOK_BOTTLES_H
#define DROPWISE_BOOK_BOTTLES_H

#include "dropwise/book.h"

enum { DW_LOT_NAME_ROOM = 64 };

typedef struct dw_book_bottle {
  int64_t id;
  char slug[DW_ID_ROOM]; /* its id on a shelf */
  char title[DW_TITLE_ROOM];
  dw_role role;
  double drop_ml;
  bool removed;          /* off the shelf; its past stays */
  bool fitted;           /* the newest fit knows it */
  bool starter;          /* of the starter shelf, used before the maker had bottles of their own */
  char look[DW_ID_ROOM]; /* the bottle of the starter shelf that lends it its color while it has no chips; ""
                          */
  int64_t lot;           /* the one at hand */
  char lot_name[DW_LOT_NAME_ROOM], lot_opened[DW_TIME_ROOM];
  size_t lots, chips, pours;    /* so far; chips and pours that hold any lot of it */
  double loading_least;         /* of its chips, drops per fl oz; 0 without any */
  double strength, strength_sd; /* of the lot at hand, as learned; 1 and 0 before anything was */
  char learned[DW_NOTE_TEXT];   /* "brown runs 9% stronger than its chips said", or "" */
} dw_book_bottle;

/* In a transaction: add, set and remove.
 * add     slug as dw_id_valid; a removed bottle of that slug comes back, and one of the starter shelf
 *         becomes the maker's own. Its first lot is "first".
 * Errors  DW_BAD_INPUT a wrong or known slug, title or drop size; DW_TOO_LARGE over DW_SHELF_MAX bottles */
dw_status dw_book_bottle_add(dw_book *book, const char *slug, const char *title, dw_role role, double drop_ml,
                             int64_t *id, dw_error *err);
dw_status dw_book_bottle_set_title(dw_book *book, const char *slug, const char *title, dw_error *err);
dw_status dw_book_bottle_set_role(dw_book *book, const char *slug, dw_role role, dw_error *err);
dw_status dw_book_bottle_set_drop(dw_book *book, const char *slug, double drop_ml, dw_error *err);
/* A bottle of the starter shelf comes into the book, where it is not there yet.  DW_NOT_FOUND: nobody knows
 * it */
dw_status dw_book_bottle_admit(dw_book *book, const char *slug, dw_error *err);
/* Until it has chips it looks like that bottle of the starter shelf; NULL: its color is not known.
 * Errors DW_NOT_FOUND no such bottle there */
dw_status dw_book_bottle_set_look(dw_book *book, const char *slug, const char *look, dw_error *err);
/* Off the shelf.  One that no chip and no cup holds is forgotten altogether. */
dw_status dw_book_bottle_remove(dw_book *book, const char *slug, dw_error *err);
dw_status dw_book_bottle_find(dw_book *book, const char *slug, dw_book_bottle *out, dw_error *err);
/* By slug; removed ones too when asked. */
dw_status dw_book_bottle_list(dw_book *book, bool with_removed, dw_book_bottle **out, size_t *n,
                              dw_error *err);
/* A new lot is at hand from now on: the spectrum stays, the strength starts anew.  In a transaction.
 * Errors DW_BAD_INPUT the bottle has a lot of that name */
dw_status dw_book_lot_add(dw_book *book, const char *slug, const char *name, dw_error *err);

typedef struct dw_book_lot {
  int64_t id;
  char slug[DW_ID_ROOM], name[DW_LOT_NAME_ROOM], opened[DW_TIME_ROOM];
  double strength, strength_sd;
  char learned[DW_NOTE_TEXT];
} dw_book_lot;
/* All lots of a bottle (NULL: of all bottles), oldest first. */
dw_status dw_book_lot_list(dw_book *book, const char *slug, dw_book_lot **out, size_t *n, dw_error *err);

/* ---- chips and fits ------------------------------------------------------------------------------------ */

/* Keeps chips as made with the lots at hand; bottles that the book does not know are added with the shelf's
 * title, role and drop size.  photo 0: from numbers.  In a transaction.
 * shelf  whose bottles the recipes name
 * added  how many: a chip that the book has already, the same to the last digit, is not added again; or NULL
 */
dw_status dw_chips_keep(dw_book *book, const dw_shelf *shelf, const dw_chip *chips, size_t n, int64_t photo,
                        size_t *added, dw_error *err);
/* All chips, with the shelf to fit: the book's bottles that chips name, in order of slug, not yet fitted.
 * Errors DW_TOO_FEW there are none */
dw_status dw_chips_load(dw_book *book, dw_shelf **shelf, dw_chip **chips, size_t *n, dw_error *err);
/* One chip as the book has it. */
typedef struct dw_chip_kept {
  int64_t id;
  dw_chip chip;
  char photo[DW_SHA256_ROOM]; /* "" from numbers */
  char added[DW_TIME_ROOM];
} dw_chip_kept;
/* All chips in the order they were kept, with the shelf that their recipes name, as dw_chips_load.
 * *shelf, *out  the caller's (dw_shelf_free, free()) */
dw_status dw_chip_list(dw_book *book, dw_shelf **shelf, dw_chip_kept **out, size_t *n, dw_error *err);
/* The chip was written down wrong: it is what `now` says, its recipe of the shelf's bottles.  A bottle that
 * it held already keeps its lot, another is of the lot at hand.  The next fit goes by it.  In a transaction.
 * Errors DW_NOT_FOUND; DW_BAD_INPUT out of range, the book has that very chip besides */
dw_status dw_chip_correct(dw_book *book, int64_t id, const dw_shelf *shelf, const dw_chip *now,
                          dw_error *err);
/* The next fit goes without it.  In a transaction.  Errors DW_NOT_FOUND */
dw_status dw_chip_remove(dw_book *book, int64_t id, dw_error *err);
/* Ids of the bottles that chips of this photo alone make known, in order. */
dw_status dw_chips_photo_bottles(dw_book *book, const char *sha256, char (**slug)[DW_ID_ROOM], size_t *n,
                                 dw_error *err);
/* Takes away all that a photo brought: its chips, and the bottles that these alone made known (one that a cup
 * holds stays in it).  Fits go as with dw_chips_forget; else fit anew.  In a transaction.
 * left  chips that stay.   Errors DW_NOT_FOUND no chip came from the photo */
dw_status dw_chips_forget_photo(dw_book *book, const char *sha256, size_t *left, dw_error *err);
/* Forgets every chip that holds the bottle (NULL: all chips, before others take their place).  With the last
 * chip of a bottle the fits go, too, and the starter shelf serves again, unless a cup holds a bottle that a fit knows: it
 * is predicted by that.  In a transaction. */
dw_status dw_chips_forget(dw_book *book, const char *slug, size_t *n, dw_error *err);

/* Keeps a fit as the one in use from now on; what was learned of lots before it stands no more and is learned
 * anew from the pours.  In a transaction.  report  JSON object */
dw_status dw_fit_keep(dw_book *book, const dw_fit *fit, const char *report, dw_error *err);

/* ---- the shelf ----------------------------------------------------------------------------------------- */

typedef struct dw_book_shelf_info {
  bool invented; /* the maker has no bottle yet: the starter shelf's */
  char fitted[DW_TIME_ROOM];
  size_t unknown; /* bottles of the maker's own that can't be predicted: not fitted, and like no other */
  char unknown_slugs[256]; /* "teal, rust" */
} dw_book_shelf_info;
/* The bottles at hand: the newest fit's, and those that look like one of the starter shelf; where the maker
 * has none of their own, the starter shelf.  With the book's titles, roles and drop
 * sizes, the current lots' strengths; removed bottles left out.
 * out   owned by the caller, dw_shelf_free;  info  may be NULL */
dw_status dw_book_shelf(dw_book *book, dw_shelf **out, dw_book_shelf_info *info, dw_error *err);
/* Adds the book's bottles that the shelf lacks, known by name, role and drop size alone, so that recipes of
 * chips may name them.  Those that it has no room for are left out. */
dw_status dw_book_shelf_name(dw_book *book, dw_shelf *shelf, dw_error *err);

#endif
