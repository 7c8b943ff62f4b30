/* The region cut into a few parts, to see how far its color is the same all over. */
#ifndef REGION_PARTS_H
#define REGION_PARTS_H

#include "region/measuring.h"

/* Body blocks after the light. */
typedef struct dw__rows {
  size_t n;
  float *xyz, *lab, *x, *y, *scratch; /* n x 3, n x 3, n, n, DW__SURFACE_SCRATCH times n */
  const dw__block **block;
} dw__rows;

enum { DW__PARTS_SIDE = 6, DW__PARTS_MAX = DW__PARTS_SIDE * DW__PARTS_SIDE };

typedef struct dw__part {
  double share; /* of the body's pixels */
  double d[3];  /* from the center: lightness, chroma and hue terms of CIEDE2000 */
} dw__part;

typedef struct dw__parts {
  size_t n; /* those with pixels */
  dw__part part[DW__PARTS_MAX];
} dw__parts;

/* The body's color; rows->xyz are then as if evenly lit, rows->lab made from them.
 * median_level  the blocks' median Y, before that */
dw_xyz dw__center_of(const dw__measuring *work, dw__rows *rows, double *median_level);

dw__parts dw__parts_of(const dw__rows *rows, const dw__blocks *blocks, dw_lab center);
/* One deviation of the region's mean color, CIEDE2000. */
double dw__parts_doubt(const dw__parts *parts);
/* Largest difference in chroma and hue between two parts, CIEDE2000; lightness is left to light and form. */
double dw__parts_drift(const dw__parts *parts);

/* Warnings for a person, from the shares, the parts and what was set aside. */
dw_status dw__notes_write(const dw__measuring *work, const dw__parts *parts, dw_reading *reading,
                          dw_error *err);

/* Behind dw__shown_classify, whose distances it needs. */
dw_flake dw__flake_of(const dw__measuring *work);

#endif
