/* The reference card found in a photo by its own colors, without a mark. Method and figures:
 * docs/color-model.md#finding-the-card */
#ifndef DROPWISE_CARD_FIND_H
#define DROPWISE_CARD_FIND_H

#include "dropwise/card.h"

/* The reduced picture that the search was measured with: the photo halved until both sides are below this.
 * (Halving is what decoders do for nothing.) The least patch that is found is about 12 of its pixels wide. */
enum { DW_CARD_FIND_SIDE = 1600 };
int dw_card_find_side(int width, int height); /* its longer side, of a photo's */

/* The card anywhere in the picture: turned, tilted up to 25 degrees, not mirrored, wholly in view.
 * view  the whole photo reduced, as dw_photo_preview gives it; borrowed
 * name  the photo's, for messages
 * out   centers of the corner patches in photo pixels, in the chart's own order, ready for dw_card_rects and
 *       dw_light_card; unchanged on error
 * Errors DW_NOT_FOUND no such card; DW_REFUSED something like it that is not believed: mirrored, cut off by
 *        the edge, or the words of dw_light_card; DW_NO_MEMORY, DW_INTERNAL
 * Thread-safe for distinct out and err. */
dw_status dw_card_find_in(const dw_preview *view, const char *name, const dw_card *card, dw_corners *out,
                          dw_error *err);
/* The same, with a reduced picture of its own making.  Errors also as dw_photo_preview */
dw_status dw_card_find(dw_photo *photo, const dw_card *card, dw_corners *out, dw_error *err);

/* Corners that were pointed at, perhaps a third of a patch off, laid on the patches exactly; where the card only
 * fits in another order (turned, or mirrored by the photo), the order is set right.
 * corners  photo pixels, going round the card; unchanged where *settled is false: the patches there are not the
 *          card's, or too few are seen
 * Errors   as dw_photo_preview, DW_NO_MEMORY */
dw_status dw_card_settle(dw_photo *photo, const dw_card *card, dw_corners *corners, bool *settled,
                         dw_error *err);

#endif
