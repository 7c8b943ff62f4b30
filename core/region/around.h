/* What surrounds each pixel: a robust smooth surface over the area, and a reference that follows the area
 * more closely. */
#ifndef REGION_AROUND_H
#define REGION_AROUND_H

#include "region/measuring.h"

typedef struct dw__node {
  float rgb[3];    /* the reference: the surface plus what the cells' medians differ from it */
  float smooth[3]; /* the surface, of second degree in each channel */
  float gloss;     /* how far the one is lifted above the other, in units of the light's direction */
} dw__node;

/* Nodes lie at the cells' middles, with a rim of one more all around. */
typedef struct dw__around {
  size_t columns, rows; /* cells; the nodes have two more each way */
  float middle[3];      /* the surface's color at the area's middle */
  dw__node *nodes;      /* owned */
  dw__node *line;       /* owned: columns + 2, the nodes as they are at one row of pixels */
} dw__around;

dw_status dw__around_build(const dw__measuring *work, dw__around *out, dw_error *err);
void dw__around_free(dw__around *around);

/* Sets the line for row y of the patch; dw__around_at then gives what is around pixel x of it, one of the row's run. */
void dw__around_row(const dw__measuring *work, dw__around *around, size_t y);
dw__node dw__around_at(const dw__measuring *work, const dw__around *around, size_t x);

/* Whether a pixel can be judged at all. */
static inline bool dw__usable(const dw__measuring *work, size_t i) {
  return work->cls[i] != DW_PIXEL_OUTSIDE && work->cls[i] != DW_PIXEL_CLIPPED;
}

/* How much of the light's direction lies in a difference of color; *off the squared share of it that does
 * not. */
float dw__gloss_of(const double white[3], const float lift[3], float *off);

#endif
