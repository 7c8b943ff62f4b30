/* What an open profile is made of: either a shaper (tables, then a matrix) or a LittleCMS transform. */
#ifndef POURTONE_COLOR_PROFILE_H
#define POURTONE_COLOR_PROFILE_H

#include "pourtone/color.h"

#include <lcms2.h>

/* Per sample a table over all its values, then a 3 x 3 matrix to linear sRGB. Gray has one table and no
 * matrix. */
typedef struct pt__shaper {
  float *tables; /* channels x steps; owned */
  size_t channels, steps;
  float matrix[9];
} pt__shaper;

struct pt_profile {
  pt_pixel_kind kind;
  int bits;
  char title[80];
  cmsContext context;      /* NULL for built-in sRGB */
  cmsHTRANSFORM transform; /* NULL where the shaper serves */
  pt__shaper shaper;
  char complaint[160]; /* LittleCMS's last words */
};

/* Zeroed tables for the kind of pixel and bits.  Errors PT_NO_MEMORY */
pt_status pt__shaper_prepare(pt_profile *profile, pt_error *err);
void pt__shaper_fill_srgb(pt__shaper *shaper);
/* From the profile's own curves and colorants; false when it has no such form, or tables that rule it out. */
bool pt__shaper_fill_icc(pt__shaper *shaper, cmsHPROFILE icc);
/* From a transform of gray floats to linear RGB floats. */
void pt__shaper_fill_gray(pt__shaper *shaper, cmsHTRANSFORM transform);
void pt__shaper_run(const pt_profile *profile, const void *pixels, size_t n, float *rgb);

#endif
