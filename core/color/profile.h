/* What an open profile is made of: either a shaper (tables, then a matrix) or a LittleCMS transform. */
#ifndef DROPWISE_COLOR_PROFILE_H
#define DROPWISE_COLOR_PROFILE_H

#include "dropwise/color.h"

#include <lcms2.h>

/* Per sample a table over all its values, then a 3 x 3 matrix to linear sRGB. Gray has one table and no
 * matrix. */
typedef struct dw__shaper {
  float *tables; /* channels x steps; owned */
  size_t channels, steps;
  float matrix[9];
} dw__shaper;

struct dw_profile {
  dw_pixel_kind kind;
  int bits;
  char title[80];
  cmsContext context;      /* NULL for built-in sRGB */
  cmsHTRANSFORM transform; /* NULL where the shaper serves */
  dw__shaper shaper;
  char complaint[160]; /* LittleCMS's last words */
};

/* Zeroed tables for the kind of pixel and bits.  Errors DW_NO_MEMORY */
dw_status dw__shaper_prepare(dw_profile *profile, dw_error *err);
void dw__shaper_fill_srgb(dw__shaper *shaper);
/* From the profile's own curves and colorants; false when it has no such form, or tables that rule it out. */
bool dw__shaper_fill_icc(dw__shaper *shaper, cmsHPROFILE icc);
/* From a transform of gray floats to linear RGB floats. */
void dw__shaper_fill_gray(dw__shaper *shaper, cmsHTRANSFORM transform);
void dw__shaper_run(const dw_profile *profile, const void *pixels, size_t n, float *rgb);

#endif
