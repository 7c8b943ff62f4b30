/* The region cut into a few parts, to see how far its color is the same all over. */
#ifndef REGION_PARTS_H
#define REGION_PARTS_H

#include "region/work.h"

/* Body blocks after the light. */
typedef struct pt__rows {
  size_t n;
  float *xyz, *lab, *x, *y, *scratch; /* n x 3, n x 3, n each */
  const pt__block **block;
} pt__rows;

enum { PT__PARTS_SIDE = 6, PT__PARTS_MAX = PT__PARTS_SIDE * PT__PARTS_SIDE };

typedef struct pt__part {
  double share; /* of the body's pixels */
  double d[3];  /* from the center: lightness, chroma and hue terms of CIEDE2000 */
} pt__part;

typedef struct pt__parts {
  size_t n; /* those with pixels */
  pt__part part[PT__PARTS_MAX];
} pt__parts;

/* The body's color; rows->xyz are then as if evenly lit, rows->lab made from them.
 * median_level  the blocks' median Y, before that */
pt_xyz pt__center_of(const pt__work *work, pt__rows *rows, double *median_level);

pt__parts pt__parts_of(const pt__rows *rows, const pt__blocks *blocks, pt_lab center);
/* One deviation of the region's mean color, CIEDE2000. */
double pt__parts_doubt(const pt__parts *parts);
/* Largest difference in chroma and hue between two parts, CIEDE2000; lightness is left to light and form. */
double pt__parts_drift(const pt__parts *parts);

/* Warnings for a person, from the shares, the parts and what was set aside. */
pt_status pt__notes_write(const pt__work *work, const pt__parts *parts, pt_reading *reading, pt_error *err);

#endif
