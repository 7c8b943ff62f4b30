/* Whether a body with its axis looks like a bait. */
#ifndef BAIT_LIKENESS_H
#define BAIT_LIKENESS_H

#include "bait/axis.h"

typedef struct dw__likeness {
  double height;    /* view pixels */
  double slender;   /* length by height */
  double filled;    /* share of the shape between its outlines that is the thing */
  double explained; /* share of the opened body that lies between its outlines */
  double rough;     /* how far the outline jumps from station to station, as a share of the height */
  double contrast;  /* CIEDE2000 from the board just inside the outline, over nearly all of it */
  double limbs;     /* what hangs on it, as a share of the body */
  double sharp;     /* share of the outline that is a step: board outside, body inside */
} dw__likeness;

dw_status dw__likeness_measure(const dw__view *view, const dw__things *things, const dw__thing *thing,
                               const dw__axis *axis, dw__likeness *out, dw_error *err);
bool dw__likeness_enough(const dw__likeness *like);

#endif
