/* Real pictures of the 24-patch chart, and the middles of its corner patches in them. */
#ifndef DW_TESTS_CARD_REAL_H
#define DW_TESTS_CARD_REAL_H

#include "dropwise/card.h"

enum { REAL_CARDS = 2 };
typedef struct real_card {
  const char *path;
  dw_corners corners;
  int named; /* of the seven other orders of the corners: how many tell the right one, where the card is refused */
} real_card;

static const real_card real_cards[REAL_CARDS] = {
    /* A photo; corners as ../shared/data/README.md gives them. */
    {DW_SOURCE_DIR "/../shared/data/cards/card_photo_1.jpg", {{37, 314, 37, 28.5, 208, 28.5, 208, 314}}, 7},
    /* A scan that Debian's argyll-doc carries; corners as read off it by eye, seven times enlarged. Its
     * brown is nearly black, so the two swapped are not told. */
    {"/usr/share/doc/argyll-doc/colorchecker.jpg", {{18, 20.5, 181.5, 20.5, 181.5, 118, 18, 118}}, 6},
};

#endif
