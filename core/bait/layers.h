/* How many layers a body has, and where they lie along it. */
#ifndef BAIT_LAYERS_H
#define BAIT_LAYERS_H

#include "bait/fit.h"

/* layers  0: as many as the profile shows.  thinnest  the least half of a blend that the photo can show */
void dw__layers_fit(dw__strip *strip, size_t layers, double thinnest, dw__layers *out);
/* Fits n layers instead; false where the profile shows them clearly worse than what there is now. */
bool dw__layers_as(const dw__strip *strip, size_t n, double thinnest, const dw__layers *now, dw__layers *out);
/* The profile in a layer's middle. */
dw_lab dw__layers_seen(const dw__strip *strip, const dw__layers *layers, size_t layer);

#endif
