/* A body laid out straight: colors by place along its axis and across it. */
#ifndef BAIT_STRIP_H
#define BAIT_STRIP_H

#include "bait/axis.h"

enum { DW__WINDOWS = 8 }; /* parts of the length in which the borders are looked for by themselves */

typedef struct dw__strip {
  size_t n;                           /* stations */
  float (*lab)[DW_BAIT_PROFILE][3];   /* n x across */
  double profile[DW_BAIT_PROFILE][3]; /* median along */
  double noise[DW_BAIT_PROFILE];      /* deviation of the same, about CIEDE2000 */
  double window[DW__WINDOWS][DW_BAIT_PROFILE][3];
  double board[3]; /* L*, a*, b* around it */
} dw__strip;

/* photo  of the bait and a margin around */
dw_status dw__strip_make(const dw__view *view, const dw_patch *photo, const dw__axis *axis,
                         const dw_light *light, dw__strip *out, dw_error *err);

#endif
