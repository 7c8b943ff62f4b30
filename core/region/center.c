/* The center of the body's blocks.
 *
 * Hue and chroma come from the mean of XYZ, in linear light.  Lightness is that of a smooth surface through
 * the blocks at the middle of the marked area: a slope of the light over the board cancels there even when
 * gloss hides one side, and on a rounded bait the middle faces the light as the card does, the flanks do
 * not. */
#include "dropwise/color.h"
#include "dropwise/numeric.h"
#include "region/parts.h"

dw_xyz dw__center_of(const dw__measuring *work, dw__rows *rows, double *median_level) {
  dw__surface surface = work->surface;
  float *luminance = rows->lab; /* free until the end */
  double sum[3] = {0}, count = 0;
  for (size_t i = 0; i < rows->n; i++) luminance[i] = rows->xyz[3 * i + 1];
  dw__surface_fit(rows->x, rows->y, luminance, rows->n, rows->scratch, &surface);
  for (size_t i = 0; i < rows->n; i++) {
    double weight = rows->block[i]->kept, even = 1 / dw__surface_shade(&surface, rows->x[i], rows->y[i]);
    for (size_t k = 0; k < 3; k++) {
      rows->xyz[3 * i + k] *= (float)even;
      sum[k] += weight * (double)rows->xyz[3 * i + k];
    }
    count += weight;
  }
  *median_level = (double)dw_median_f(luminance, rows->n);
  dw_lab_from_xyz_rows(rows->xyz, rows->n, rows->lab);
  double scale = sum[1] > 0 && surface.level > 0 ? surface.level / sum[1] : 1 / count;
  return (dw_xyz){sum[0] * scale, sum[1] * scale, sum[2] * scale};
}
