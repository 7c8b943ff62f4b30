/* Layers that hardly differ from the board. */
#ifndef BAIT_NEAR_BOARD_H
#define BAIT_NEAR_BOARD_H

#include "dropwise/bait.h"

/* Says in the notes of all baits whether one of them has a layer nearer to the board than DW_BAIT_BOARD_APART, or
 * should have one by its target: that may be missing. */
void dw__board_notes(const dw_bait_rules *rules, dw_baits *baits);

#endif
