/* The plastic's own color in one region as a center and a scatter in linear RGB, and what a pixel away from
 * it is.  Dichromatic model (Shafer, Color Res. Appl. 10 (1985) 210): a pixel is the body color times its
 * shading plus the light's color times the gloss. */
#ifndef REGION_BODY_H
#define REGION_BODY_H

#include "dropwise/region.h"

/* Beyond this squared distance a pixel is not the body: 99.5% point of chi-square of 3. */
#define DW__BODY_WITHIN 12.84f

typedef struct dw__body {
  float center[3];
  float inverse[6];                               /* of the scatter: xx, xy, xz, yy, yz, zz */
  float to_white[3];                              /* inverse times the light's direction */
  float to_center[3];                             /* inverse times the center: the direction of shading */
  float white_white, white_center, center_center; /* their products in the scatter's metric */
} dw__body;

/* Robust center and scatter of n rows: at least half of them are taken to be plastic.
 * rgb    n x 3; white the light's direction; work 2 n floats
 * Errors DW_INTERNAL when the scatter is not finite */
dw_status dw__body_fit(const float *rgb, size_t n, const double white[3], float *work, dw__body *out,
                       dw_error *err);

/* Squared distance of a color from the body in units of its scatter: chi-square of 3 for the body itself. */
static inline float dw__body_distance(const dw__body *body, const float rgb[3]) {
  const float *a = body->inverse;
  float x = rgb[0] - body->center[0], y = rgb[1] - body->center[1], z = rgb[2] - body->center[2];
  return x * (a[0] * x + 2 * (a[1] * y + a[2] * z)) + y * (a[3] * y + 2 * a[4] * z) + z * a[5] * z;
}

/* KEPT, GLOSS, SHADOW or FLAKE. */
dw_pixel_class dw__body_class(const dw__body *body, const float rgb[3]);

#endif
