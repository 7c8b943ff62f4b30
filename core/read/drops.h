/* Rounded blobs side by side on a plain white table: found, parted where they touch, and put in a row. */
#ifndef READ_DROPS_H
#define READ_DROPS_H

#include "dropwise/card.h"

enum { DW__DROPS_MAX = 16 };

typedef struct dw__drop {
  double x, y, radius; /* the largest circle within it, photo pixels */
  double table[3];     /* linear red, green and blue of the table around it, by the photo's own numbers */
} dw__drop;

typedef struct dw__drops {
  size_t n;
  dw__drop drop[DW__DROPS_MAX]; /* along their row: left to right, or top to bottom */
  bool table;                   /* a plain area that drops could lie on was seen */
  double card_table[3]; /* as dw__drop.table, where the card lies; without one in the middle of the photo */
  size_t others;        /* things as large as drops that are none */
  char other[DW_NOTE_TEXT]; /* what the largest of them is, words that follow "it" */
  bool in_row;              /* their order can be told */
} dw__drops;

/* view  the whole photo reduced (dw_bait_view_side);  card  photo pixels, or NULL.  Errors DW_NO_MEMORY */
dw_status dw__drops_find(const dw_preview *view, const dw_corners *card, dw__drops *out, dw_error *err);

#endif
