/* A smooth surface of light over the marked area, of second degree along the area and across it. */
#ifndef REGION_SURFACE_H
#define REGION_SURFACE_H

#include "dropwise/photo.h"

enum { DW__SURFACE_TERMS = 6, DW__BEND_TERMS = 4, DW__SURFACE_SCRATCH = 4 };

/* From the first to behind the last of a row's pixels in the mask. A slanted band fills little of the rectangle around it,
 * and nothing else is looked at. */
typedef struct dw__run {
  size_t first, end;
} dw__run;

/* An area laid out straight: u along it, v across it from its midline. */
typedef struct dw__layout {
  double x, y;                 /* its middle, on the midline, where u = v = 0 */
  double way[2];               /* unit vector along it */
  double half[2];              /* what u = 1 and v = 1 are, pixels */
  double bend[DW__BEND_TERMS]; /* how far the midline bends off, pixels: times u, u u, u u u, u u u u */
} dw__layout;

/* mask  rect.h x rect.w, some of it set; run  rect.h, its rows'
 * Places are the photo's, but as far from rect.x, rect.y as in the mask. */
dw__layout dw__layout_of(const uint8_t *mask, const dw__run *run, const dw_rect *rect);

typedef struct dw__surface {
  dw__layout layout;
  double level;                   /* the value at the middle */
  double term[DW__SURFACE_TERMS]; /* shares of the level: 1, u, v, u u, u v, v v */
} dw__surface;

/* Robust fit to n values at x, y; out->layout is given.  The level is the median where a fit
 * makes no sense.  scratch DW__SURFACE_SCRATCH times n. */
void dw__surface_fit(const float *x, const float *y, const float *value, size_t n, float *scratch,
                     dw__surface *out);
/* Light at a place, 1 at the middle; between 0.3 and 3. */
double dw__surface_shade(const dw__surface *surface, float x, float y);

#endif
