/* EXIF orientation: how stored pixels lie in the oriented photo. */
#ifndef POURTONE_PHOTO_ORIENT_H
#define POURTONE_PHOTO_ORIENT_H

#include "pourtone/photo.h"

bool pt__orient_swaps(int orientation); /* width and height change places */

/* The stored rectangle of an oriented one; width and height are of the stored photo. */
pt_rect pt__orient_to_stored(int orientation, int width, int height, pt_rect oriented);

/* Where stored pixels go in an oriented picture: index = first + x * step_x + y * step_y, for x, y counted
 * from the top left of a stored area of w x h. */
typedef struct pt__places {
  ptrdiff_t first, step_x, step_y;
} pt__places;
pt__places pt__orient_places(int orientation, int w, int h);

#endif
