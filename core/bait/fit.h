/* Layers across a body: plateaus of color joined by blends. */
#ifndef BAIT_FIT_H
#define BAIT_FIT_H

#include "bait/strip.h"

typedef struct dw__layers {
  size_t n;
  double border[DW_BAIT_LAYERS_MAX - 1];              /* 0 back to 1 belly */
  double half[DW_BAIT_LAYERS_MAX - 1];                /* of the blend, from where it begins to its middle */
  double color[DW_BAIT_LAYERS_MAX][3];                /* L*, a*, b* */
  double score;                                       /* the least is the best number */
  double offset[DW__WINDOWS][DW_BAIT_LAYERS_MAX - 1]; /* of each border there from its mean */
} dw__layers;

/* layers  0: as many as the profile shows.  thinnest  the least half of a blend that the photo can show */
void dw__layers_fit(dw__strip *strip, size_t layers, double thinnest, dw__layers *out);
/* Takes as many layers as most baits of the shot have instead, where the profile shows them about as well. */
void dw__layers_usual(dw__strip *strip, size_t usual, double thinnest, dw__layers *layers);

#endif
