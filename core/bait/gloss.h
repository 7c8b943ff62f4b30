/* Streaks of gloss along a body. */
#ifndef BAIT_GLOSS_H
#define BAIT_GLOSS_H

#include "dropwise/bait.h"

/* Takes them off a profile across the body, L*, a*, b*.
 * noise  of the profile, about CIEDE2000; grows by what may be left of a streak. Or NULL */
void dw__gloss_remove(double profile[DW_BAIT_PROFILE][3], double noise[DW_BAIT_PROFILE]);

#endif
