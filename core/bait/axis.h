/* The long axis of a body, straight or curved, and its outline to both sides of it. View pixels. */
#ifndef BAIT_AXIS_H
#define BAIT_AXIS_H

#include "bait/pieces.h"

enum { DW__AXIS_STATIONS = 2 * DW_BAIT_STATIONS };

typedef struct dw__station {
  double x, y, nx, ny; /* on the axis; toward the belly, unit */
  double back, belly;  /* distance of the outline to either side */
} dw__station;

typedef struct dw__axis {
  dw__station at[DW__AXIS_STATIONS]; /* head to tail, at equal steps */
  double length, height, bend;       /* view pixels; radians */
  double rough; /* how far single places of the outline lie off it in the mean, as a share of the height */
  size_t first, last; /* stations between which the body is broad enough to be read */
} dw__axis;

/* Whose axis: the body's alone, which a broad tail or claws hardly bend, or that of the whole thing. */
typedef enum dw__axis_of { DW__AXIS_OF_BODY, DW__AXIS_OF_WHOLE, DW__AXES } dw__axis_of;

/* *found  false where it is no bait's, as the body is too small or of no one direction.  Errors DW_NO_MEMORY */
dw_status dw__axis_find(const dw__view *view, const dw__things *things, const dw__thing *thing,
                        dw__axis_of what, dw__axis *out, bool *found, dw_error *err);

/* Turns it so that the back is on the other side. */
void dw__axis_turn(dw__axis *axis);

#endif
