/* The chain rule from X, Y, Z to L*, a*, b* and on: 3 by 3 matrices, row-major. Shared inside core/mix. */
#ifndef DROPWISE_MIX_CHAIN_H
#define DROPWISE_MIX_CHAIN_H

#include "dropwise/color.h"

/* d(L*, a*, b*) / d(X, Y, Z) at a color (CIE 15:2018). */
void dw__lab_slopes(dw_lab lab, double out[9]);
/* out = A B; may not overlap either. */
void dw__multiply3(const double A[9], const double B[9], double out[9]);

#endif
