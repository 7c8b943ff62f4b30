/* Reflectance by bands to XYZ; the weights are in band_table.c. */
#include "dropwise/color.h"

double dw_band_nm(size_t band) {
  return 400.0 + 300.0 / (DW_BANDS - 1) * (double)band;
}

dw_xyz dw_xyz_from_bands(const double reflectance[DW_BANDS]) {
  dw_xyz sum = {0.0, 0.0, 0.0};
  for (size_t i = 0; i < DW_BANDS; i++) {
    sum.X += reflectance[i] * dw_band_xyz[i][0];
    sum.Y += reflectance[i] * dw_band_xyz[i][1];
    sum.Z += reflectance[i] * dw_band_xyz[i][2];
  }
  return sum;
}
