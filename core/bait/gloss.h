/* Streaks of gloss along a body. */
#ifndef BAIT_GLOSS_H
#define BAIT_GLOSS_H

#include "dropwise/bait.h"

/* Take them off a profile across the body, L*, a*, b*: first broad lobes, whether there is one, then streaks.
 * noise  of the profile, about CIEDE2000; grows by what may be left of them. Or NULL */
bool dw__lobes_remove(double profile[DW_BAIT_PROFILE][3], double noise[DW_BAIT_PROFILE]);
void dw__streaks_remove(double profile[DW_BAIT_PROFILE][3], double noise[DW_BAIT_PROFILE]);

#endif
