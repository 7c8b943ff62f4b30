/* Inside card/: where the patches are in the photo, and where a pixel is on the board. */
#ifndef POURTONE_CARD_PLACE_H
#define POURTONE_CARD_PLACE_H

#include "pourtone/card.h"
#include "pourtone/numeric.h"

/* Grid coordinates (column, row; patch centers at whole numbers) to photo pixels, and back. */
pt_status pt__grid_to_photo(const pt_card *card, const pt_corners *corners, pt_homography *out,
                            pt_error *err);
pt_status pt__photo_to_grid(const pt_card *card, const pt_corners *corners, pt_homography *out,
                            pt_error *err);

/* Half the side of the sampled square, in grid units: half of the spacing, about 3/5 of a usual patch. */
#define PT__SAMPLED_HALF 0.25

/* Photo position to board units: 0, 0 at the middle of the four corners, 1 is the card's longer side. Bounded
 * by +-PT__BOARD_REACH, beyond which the light is taken as constant. */
#define PT__BOARD_REACH 1.5
typedef struct pt__board {
  double x, y, side_px;
} pt__board;
pt__board pt__board_from_corners(const pt_corners *corners);
void pt__board_at(const pt__board *board, double x, double y, double out[2]);

#endif
