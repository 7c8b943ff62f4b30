/* Which side of a bait is its back. */
#ifndef BAIT_BACK_H
#define BAIT_BACK_H

#include "dropwise/bait.h"

/* Turns each bait so that its layers run from back to belly, fills back_known, and notes at the bait where that is
 * only how it lies.  Method: docs/bait.md#back */
void dw__backs_find(const dw_bait_rules *rules, dw_baits *baits);

#endif
