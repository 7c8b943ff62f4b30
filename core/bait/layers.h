/* How many layers a body has, and where they lie along it. */
#ifndef BAIT_LAYERS_H
#define BAIT_LAYERS_H

#include "bait/fit.h"

/* layers  0: as many as the profile shows.  thinnest  the least half of a blend that the photo can show */
void dw__layers_fit(dw__strip *strip, size_t layers, double thinnest, dw__layers *out);
/* Takes as many layers as most baits of the shot have instead, where the profile shows them about as well. */
void dw__layers_usual(dw__strip *strip, size_t usual, double thinnest, dw__layers *layers);

#endif
