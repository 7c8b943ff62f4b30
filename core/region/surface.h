/* A smooth surface of light over the marked area, of second degree in x and y. */
#ifndef REGION_SURFACE_H
#define REGION_SURFACE_H

#include <stddef.h>

enum { DW__SURFACE_TERMS = 6 };

typedef struct dw__surface {
  double middle_x, middle_y, half_w, half_h; /* where u = v = 0, and what u = 1 and v = 1 are */
  double level;                              /* the value at the middle */
  double term[DW__SURFACE_TERMS];            /* shares of the level: 1, u, v, u u, u v, v v */
} dw__surface;

/* Robust fit to n values at x, y; out->middle_* and half_* are given.  The level is the median where a fit
 * makes no sense.  scratch n. */
void dw__surface_fit(const float *x, const float *y, const float *value, size_t n, float *scratch,
                     dw__surface *out);
/* Light at a place, 1 at the middle; between 0.3 and 3. */
double dw__surface_shade(const dw__surface *surface, float x, float y);

#endif
