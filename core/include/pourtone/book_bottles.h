/* The book: bottles, their lots, chips and fits, and the shelf that these make. */
#ifndef POURTONE_BOOK_BOTTLES_H
#define POURTONE_BOOK_BOTTLES_H

#include "pourtone/book.h"

enum { PT_LOT_NAME_ROOM = 64 };

typedef struct pt_book_bottle {
  int64_t id;
  char slug[PT_ID_ROOM]; /* its id on a shelf */
  char title[PT_TITLE_ROOM];
  pt_role role;
  double drop_ml;
  bool removed; /* off the shelf; its past stays */
  bool fitted;  /* the newest fit knows it */
  int64_t lot;  /* the one at hand */
  char lot_name[PT_LOT_NAME_ROOM], lot_opened[PT_TIME_ROOM];
  size_t lots, chips, pours;    /* so far; chips and pours that hold any lot of it */
  double strength, strength_sd; /* of the lot at hand, as learned; 1 and 0 before anything was */
  char learned[PT_NOTE_TEXT];   /* "brown runs 9% stronger than its chips said", or "" */
} pt_book_bottle;

/* In a transaction: add, set and remove.
 * add     slug as pt_id_valid; a removed bottle of that slug comes back. Its first lot is "first".
 * Errors  PT_BAD_INPUT a wrong or known slug, title or drop size; PT_TOO_LARGE over PT_SHELF_MAX bottles */
pt_status pt_book_bottle_add(pt_book *book, const char *slug, const char *title, pt_role role, double drop_ml,
                             int64_t *id, pt_error *err);
pt_status pt_book_bottle_set_title(pt_book *book, const char *slug, const char *title, pt_error *err);
pt_status pt_book_bottle_set_role(pt_book *book, const char *slug, pt_role role, pt_error *err);
pt_status pt_book_bottle_set_drop(pt_book *book, const char *slug, double drop_ml, pt_error *err);
/* Off the shelf.  One that no chip and no cup holds is forgotten altogether. */
pt_status pt_book_bottle_remove(pt_book *book, const char *slug, pt_error *err);
pt_status pt_book_bottle_find(pt_book *book, const char *slug, pt_book_bottle *out, pt_error *err);
/* By slug; removed ones too when asked. */
pt_status pt_book_bottle_list(pt_book *book, bool with_removed, pt_book_bottle **out, size_t *n,
                              pt_error *err);
/* A new lot is at hand from now on: the spectrum stays, the strength starts anew.  In a transaction.
 * Errors PT_BAD_INPUT the bottle has a lot of that name */
pt_status pt_book_lot_add(pt_book *book, const char *slug, const char *name, pt_error *err);

typedef struct pt_book_lot {
  int64_t id;
  char slug[PT_ID_ROOM], name[PT_LOT_NAME_ROOM], opened[PT_TIME_ROOM];
  double strength, strength_sd;
  char learned[PT_NOTE_TEXT];
} pt_book_lot;
/* All lots of a bottle (NULL: of all bottles), oldest first. */
pt_status pt_book_lot_list(pt_book *book, const char *slug, pt_book_lot **out, size_t *n, pt_error *err);

/* ---- chips and fits ------------------------------------------------------------------------------------ */

/* Keeps chips as made with the lots at hand; bottles that the book does not know are added with the shelf's
 * title, role and drop size.  photo 0: from numbers.  In a transaction.
 * shelf  whose bottles the recipes name */
pt_status pt_chips_keep(pt_book *book, const pt_shelf *shelf, const pt_chip *chips, size_t n, int64_t photo,
                        pt_error *err);
/* All chips, with the shelf to fit: the book's bottles that chips name, in order of slug, not yet fitted.
 * Errors PT_TOO_FEW there are none */
pt_status pt_chips_load(pt_book *book, pt_shelf **shelf, pt_chip **chips, size_t *n, pt_error *err);
/* Forgets every chip that holds the bottle (NULL: all chips).  In a transaction. */
pt_status pt_chips_forget(pt_book *book, const char *slug, size_t *n, pt_error *err);

/* Keeps a fit as the one in use from now on; what was learned of lots before it stands no more and is learned
 * anew from the pours.  In a transaction.  report  JSON object */
pt_status pt_fit_keep(pt_book *book, const pt_fit *fit, const char *report, pt_error *err);

typedef struct pt_fit_kept {
  int64_t id; /* 0: none yet */
  char created[PT_TIME_ROOM];
  char *report; /* JSON; owned, free() */
} pt_fit_kept;
pt_status pt_fit_newest(pt_book *book, pt_fit_kept *out, pt_error *err);

/* ---- the shelf ----------------------------------------------------------------------------------------- */

typedef struct pt_book_shelf_info {
  bool invented; /* no fit yet: the starter shelf's bottles */
  char fitted[PT_TIME_ROOM];
  size_t unknown; /* bottles of the book that can't be predicted: no chips, not of the starter shelf */
  char unknown_slugs[256]; /* "teal, rust" */
} pt_book_shelf_info;
/* The bottles at hand: the newest fit's spectra (else the starter shelf's), the book's titles, roles and drop
 * sizes, the current lots' strengths; removed bottles left out.
 * out   owned by the caller, pt_shelf_free;  info  may be NULL */
pt_status pt_book_shelf(pt_book *book, pt_shelf **out, pt_book_shelf_info *info, pt_error *err);

#endif
