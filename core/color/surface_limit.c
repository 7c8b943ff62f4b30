/* The lightest color that a surface which only reflects can have (Schroedinger 1920; MacAdam, J. Opt. Soc. Am. 25
 * (1935) 361: optimal colors).
 *
 * Reflectances from 0 to 1 in every band fill a solid in XYZ, the sum of the bands' vectors each taken in part: its
 * faces have the normals of two bands' vectors.  The way from black through a color leaves it through the face
 * whose plane is met first. */
#include "dropwise/color.h"

#include <math.h>

/* Below this sine two bands span no face, and a color lies in the plane of one. */
#define PARALLEL 1e-6

/* How far the solid reaches along n. */
static double reach(const double n[3]) {
  double sum = 0;
  for (size_t i = 0; i < DW_BANDS; i++)
    sum += fmax(0, n[0] * dw_band_xyz[i][0] + n[1] * dw_band_xyz[i][1] + n[2] * dw_band_xyz[i][2]);
  return sum;
}

static double length(const double v[3]) {
  return sqrt(v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
}

static void across(const double p[3], const double q[3], double out[3]) {
  for (int i = 0; i < 3; i++) out[i] = p[(i + 1) % 3] * q[(i + 2) % 3] - p[(i + 2) % 3] * q[(i + 1) % 3];
}

dw_lab dw_surface_lightest(dw_lab color) {
  dw_xyz xyz = dw_xyz_from_lab(color);
  double least = INFINITY, size = length((double[3]){xyz.X, xyz.Y, xyz.Z});
  for (size_t i = 0; i < DW_BANDS; i++)
    for (size_t j = 0; j < i; j++) {
      double n[3];
      across(dw_band_xyz[i], dw_band_xyz[j], n);
      if (length(n) < PARALLEL * length(dw_band_xyz[i]) * length(dw_band_xyz[j])) continue;
      double along = n[0] * xyz.X + n[1] * xyz.Y + n[2] * xyz.Z;
      if (along < 0) n[0] = -n[0], n[1] = -n[1], n[2] = -n[2], along = -along;
      if (along > PARALLEL * length(n) * size) least = fmin(least, reach(n) / along);
    }
  if (!isfinite(least)) return color;
  return dw_lab_from_xyz((dw_xyz){least * xyz.X, least * xyz.Y, least * xyz.Z});
}
