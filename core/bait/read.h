/* The colors of one bait: its layers' bands and its tips, measured as marked areas are. */
#ifndef BAIT_READ_H
#define BAIT_READ_H

#include "bait/layers.h"

/* Fills the layers, blends, tips and places of a bait.  photo  of the bait and a margin around
 * Errors DW_TOO_FEW where a layer has too few pixels to read, and of dw_region_measure */
dw_status dw__bait_read(const dw__view *view, const dw_patch *photo, const dw__things *things,
                        const dw__thing *thing, const dw__axis *axis, const dw__strip *strip,
                        const dw__layers *layers, const dw_light *light, dw_bait *out, dw_error *err);

/* Swaps back and belly. */
void dw__bait_turn(dw_bait *bait);

#endif
