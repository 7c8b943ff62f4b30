/* What surrounds each pixel: a robust smooth surface over the area, and a reference that follows the area
 * more closely. */
#ifndef REGION_AROUND_H
#define REGION_AROUND_H

#include "region/work.h"

typedef struct pt__node {
  float rgb[3];    /* the reference: the surface plus what the cells' medians differ from it */
  float smooth[3]; /* the surface, of second degree in each channel */
  float gloss;     /* how far the one is lifted above the other, in units of the light's direction */
} pt__node;

/* Nodes lie at the cells' middles, with a rim of one more all around. */
typedef struct pt__around {
  size_t columns, rows; /* cells; the nodes have two more each way */
  float middle[3];      /* the surface's color at the area's middle */
  pt__node *nodes;      /* owned */
  pt__node *line;       /* owned: columns + 2, the nodes as they are at one row of pixels */
} pt__around;

pt_status pt__around_build(const pt__work *work, pt__around *out, pt_error *err);
void pt__around_free(pt__around *around);

/* Sets the line for row y of the patch; pt__around_at then gives what is around pixel x of it. */
void pt__around_row(const pt__work *work, pt__around *around, size_t y);
pt__node pt__around_at(const pt__work *work, const pt__around *around, size_t x);

/* Whether a pixel can be judged at all. */
static inline bool pt__usable(const pt__work *work, size_t i) {
  return work->cls[i] != PT_PIXEL_OUTSIDE && work->cls[i] != PT_PIXEL_CLIPPED;
}

/* How much of the light's direction lies in a difference of color; *off the squared share of it that does
 * not. */
float pt__gloss_of(const double white[3], const float lift[3], float *off);

#endif
