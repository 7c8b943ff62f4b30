/* The number of layers that the baits of one shot have. */
#ifndef BAIT_AGREE_H
#define BAIT_AGREE_H

#include "bait/layers.h"

/* One bait.  thinnest  as for dw__layers_fit */
typedef struct dw__of_shot {
  dw__strip *strip;
  dw__layers *layers;
  double thinnest;
} dw__of_shot;

/* Gives baits that differ in number from most the number of those, where their own profile shows those colors about as
 * well. */
void dw__layers_agree(const dw__of_shot *bait, size_t n);

#endif
