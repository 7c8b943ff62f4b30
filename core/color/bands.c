/* Reflectance by bands to XYZ; the weights are in band_table.c. */
#include "pourtone/color.h"

double pt_band_nm(size_t band) {
  return 400.0 + 300.0 / (PT_BANDS - 1) * (double)band;
}

pt_xyz pt_xyz_from_bands(const double reflectance[PT_BANDS]) {
  pt_xyz sum = {0.0, 0.0, 0.0};
  for (size_t i = 0; i < PT_BANDS; i++) {
    sum.X += reflectance[i] * pt_band_xyz[i][0];
    sum.Y += reflectance[i] * pt_band_xyz[i][1];
    sum.Z += reflectance[i] * pt_band_xyz[i][2];
  }
  return sum;
}
