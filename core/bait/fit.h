/* Fitting so many layers to a profile: plateaus of color joined by blends. */
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

/* The best fit of so many layers to the profile; score infinite where there is none.
 * thinnest     the least half of a blend that the photo can show
 * unexplained  what the model leaves of any real profile, about CIEDE2000 */
void dw__fit_number(const dw__strip *strip, size_t layers, double thinnest, double unexplained,
                    dw__layers *out);

#endif
