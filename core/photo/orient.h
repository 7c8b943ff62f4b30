/* EXIF orientation: how stored pixels lie in the oriented photo. */
#ifndef DROPWISE_PHOTO_ORIENT_H
#define DROPWISE_PHOTO_ORIENT_H

#include "dropwise/photo.h"

bool dw__orient_swaps(int orientation); /* width and height change places */

/* The stored rectangle of an oriented one; width and height are of the stored photo. */
dw_rect dw__orient_to_stored(int orientation, int width, int height, dw_rect oriented);

/* Where stored pixels go in an oriented picture: index = first + x * step_x + y * step_y, for x, y counted
 * from the top left of a stored area of w x h. */
typedef struct dw__places {
  ptrdiff_t first, step_x, step_y;
} dw__places;
dw__places dw__orient_places(int orientation, int w, int h);

#endif
