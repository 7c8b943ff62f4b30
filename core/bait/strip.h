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
  size_t straight; /* borders by which it was straightened; 0 not yet */
  double place[DW_BAIT_LAYERS_MAX - 1], moved[DW__WINDOWS][DW_BAIT_LAYERS_MAX - 1];
} dw__strip;

/* photo  of the bait and a margin around */
dw_status dw__strip_make(const dw__view *view, const dw_patch *photo, const dw__axis *axis,
                         const dw_light *light, dw__strip *out, dw_error *err);

/* What the light makes of a color that has this Lab by the photo's own numbers, as the view has them. */
dw_lab dw__lab_by_light(const dw_light *light, dw_lab seen);
/* Moves each station's colors so that the borders, which lie `moved` off their places along it, run straight; between
 * them it is stretched. The profile and the windows are made anew. */
void dw__strip_straighten(dw__strip *strip, size_t borders, const double *place,
                          double (*moved)[DW_BAIT_LAYERS_MAX - 1]);
/* How far off what is at `place` in the straightened strip lies in the body, in one window. */
double dw__strip_moved(const dw__strip *strip, size_t window, double place);
/* One border's offset at a share of the length, between the windows' middles. */
double dw__offset_at(const double (*offset)[DW_BAIT_LAYERS_MAX - 1], size_t border, double share);

#endif
