/* The color of the flake in an area: of its specks' own pixels, not of those that lens and JPEG mixed with the plastic. */
#include "dropwise/color.h"
#include "region/parts.h"

#include <math.h>

/* Fewer pixels than this are no color. */
enum { FLAKE_LEAST = 30 };
/* Pixels of one speck are no samples of their own: about so many make one. */
#define PIXELS_IN_SPECK 8.0

/* In the middle of a speck: specks all round it, and none near by stands off the plastic by much more (squared; shown.c
 * leaves that in work->queue). */
#define OWN_SHARE 0.8

static bool is_own(const dw__measuring *work, size_t x, size_t y) {
  if (x < 1 || y < 1 || x + 1 >= work->w || y + 1 >= work->h) return false;
  uint32_t most = 0;
  for (size_t ny = y - 1; ny <= y + 1; ny++)
    for (size_t nx = x - 1; nx <= x + 1; nx++) {
      size_t i = ny * work->w + nx;
      if (work->shown[i] != DW_PIXEL_FLAKE) return false;
      if (work->queue[i] > most) most = work->queue[i];
    }
  return (double)work->queue[y * work->w + x] >= OWN_SHARE * (double)most;
}

/* Sums of X, Y, Z and their squares. */
static size_t sums_take(const dw__measuring *work, double sum[3], double square[3]) {
  size_t n = 0;
  for (size_t y = 0; y < work->h; y++)
    for (size_t i = work->run[y].first; i < work->run[y].end; i++) {
      size_t x = i - y * work->w;
      float xyz[3], px, py;
      if (work->shown[i] != DW_PIXEL_FLAKE || !is_own(work, x, y)) continue;
      dw__place_of(work, (float)x, (float)y, &px, &py);
      dw_light_xyz(work->light, work->patch->rgb + 3 * i, &px, &py, 1, xyz);
      for (int k = 0; k < 3; k++) sum[k] += (double)xyz[k], square[k] += (double)xyz[k] * (double)xyz[k];
      n++;
    }
  return n;
}

dw_flake dw__flake_of(const dw__measuring *work) {
  double sum[3] = {0}, square[3] = {0}, off[3];
  size_t n = sums_take(work, sum, square);
  if (n < FLAKE_LEAST) return (dw_flake){.pixels = 0};
  double count = (double)n, specks = fmax(count / PIXELS_IN_SPECK, 1);
  for (int k = 0; k < 3; k++) {
    sum[k] /= count;
    off[k] = sum[k] + sqrt(fmax(square[k] / count - sum[k] * sum[k], 0) / specks);
  }
  dw_lab lab = dw_lab_from_xyz((dw_xyz){sum[0], sum[1], sum[2]});
  double own = dw_de00(lab, dw_lab_from_xyz((dw_xyz){off[0], off[1], off[2]}));
  return (dw_flake){
      .pixels = n, .lab = lab, .uncertainty_de00 = hypot(own, dw_light_uncertainty(work->light, lab))};
}
