/* One strip of two, made a board of its own: what lies on it is mirrored at the edge, so that a bait that lies
 * across becomes one whole bait over black or over white. */
#ifndef READ_STRIP_HALF_H
#define READ_STRIP_HALF_H

#include "dropwise/card.h"
#include "read/strip_edge.h"

/* side   -1 the black strip, 1 the white one
 * card   NULL, or what is covered by plain board, in pixels of the patch
 * arena  owns the pixels.  Errors DW_NO_MEMORY */
dw_status dw__strip_half(const dw_patch *photo, const dw__edge *edge, int side, const dw_corners *card,
                         dw_arena *arena, dw_patch *out, dw_error *err);
/* Pixels of the patch by which the mirror stands off the edge: there each strip lights what lies on the other.
 */
double dw__strip_margin(const dw_patch *photo);

/* Whether the card with its frame covers the place. */
bool dw__card_covers(const dw_corners *card, double x, double y);

#endif
