/* Inside card/: where the patches are in the photo, and where a pixel is on the board. */
#ifndef DROPWISE_CARD_PLACE_H
#define DROPWISE_CARD_PLACE_H

#include "dropwise/card.h"
#include "dropwise/numeric.h"

/* Grid coordinates (column, row; patch centers at whole numbers) to photo pixels, and back. */
dw_status dw__grid_to_photo(const dw_card *card, const dw_corners *corners, dw_homography *out,
                            dw_error *err);
dw_status dw__photo_to_grid(const dw_card *card, const dw_corners *corners, dw_homography *out,
                            dw_error *err);

/* Half the side of the sampled square, in grid units: half of the spacing, about 3/5 of a usual patch. */
#define DW__SAMPLED_HALF 0.25

/* Photo position to board units: 0, 0 at the middle of the four corners, 1 is the card's longer side. Bounded
 * by +-DW__BOARD_REACH, beyond which the light is taken as constant. */
#define DW__BOARD_REACH 1.5
typedef struct dw__board {
  double x, y, side_px;
} dw__board;
dw__board dw__board_from_corners(const dw_corners *corners);
void dw__board_at(const dw__board *board, double x, double y, double out[2]);

#endif
