/* sRGB (IEC 61966-2-1) to and from XYZ for D50.
 *
 * The matrices follow from the standard's chromaticities (red 0.64 0.33, green 0.30 0.60, blue 0.15 0.06,
 * white 0.3127 0.3290, that is XYZ 0.95046 1 1.08906), adapted by Bradford to the D50 of color.h. They were
 * computed in exact fractions and rounded once; tests/color/test_srgb.c derives them again. */
#include "dropwise/color.h"

#include "color/srgb.h"

#include <math.h>

const double dw__xyz_from_linear[9] = {0.436041251616051,    0.3851129107981554,  0.14304583758579356,
                                       0.22248454022947745,  0.7169050786084573,  0.06061038116206526,
                                       0.013920187471375392, 0.09706723869712401, 0.7139125738315006};
const double dw__linear_from_xyz[9] = {3.134186364236819,   -1.6172089589982748,  -0.49069406400638393,
                                       -0.9787485041906944, 1.9161300967735873,   0.03343339915999554,
                                       0.07196392780224674, -0.22899387345320327, 1.4057537328964445};

double dw_srgb_decode(double encoded) {
  const double v = fabs(encoded);
  return copysign(v <= 0.04045 ? v / 12.92 : pow((v + 0.055) / 1.055, 2.4), encoded);
}

double dw_srgb_encode(double linear) {
  const double v = fabs(linear);
  return copysign(v <= 0.0031308 ? 12.92 * v : 1.055 * pow(v, 1.0 / 2.4) - 0.055, linear);
}

dw_xyz dw_xyz_from_linear(const double rgb[3]) {
  const double *m = dw__xyz_from_linear;
  return (dw_xyz){m[0] * rgb[0] + m[1] * rgb[1] + m[2] * rgb[2],
                  m[3] * rgb[0] + m[4] * rgb[1] + m[5] * rgb[2],
                  m[6] * rgb[0] + m[7] * rgb[1] + m[8] * rgb[2]};
}

void dw_linear_from_xyz(dw_xyz xyz, double rgb[3]) {
  const double *m = dw__linear_from_xyz;
  for (int i = 0; i < 3; i++) rgb[i] = m[3 * i] * xyz.X + m[3 * i + 1] * xyz.Y + m[3 * i + 2] * xyz.Z;
}

dw_lab dw_lab_from_srgb8(const uint8_t rgb[3]) {
  const double linear[3] = {dw_srgb_decode(rgb[0] / 255.0), dw_srgb_decode(rgb[1] / 255.0),
                            dw_srgb_decode(rgb[2] / 255.0)};
  return dw_lab_from_xyz(dw_xyz_from_linear(linear));
}

/* The color in steps of 8 bits; true when no channel leaves 0..255 by more than room. */
static bool srgb_fits(dw_lab lab, double room, double steps[3]) {
  double rgb[3];
  bool fits = true;
  dw_linear_from_xyz(dw_xyz_from_lab(lab), rgb);
  for (int i = 0; i < 3; i++) {
    steps[i] = 255.0 * dw_srgb_encode(rgb[i]);
    fits = fits && steps[i] >= -room && steps[i] <= 255.0 + room;
  }
  return fits;
}

/* The largest share of the chroma that fits, by bisection: 20 halvings are far below an 8-bit step. */
static void chroma_lower(dw_lab lab, double steps[3]) {
  const double L = fmin(fmax(lab.L, 0.0), 100.0), room = 1e-6; /* room for rounding only */
  double low = 0.0, high = 1.0;
  for (int i = 0; i < 20; i++) {
    const double share = (low + high) / 2.0;
    if (srgb_fits((dw_lab){L, share * lab.a, share * lab.b}, room, steps))
      low = share;
    else
      high = share;
  }
  srgb_fits((dw_lab){L, low * lab.a, low * lab.b}, room, steps);
}

bool dw_srgb8_from_lab(dw_lab lab, uint8_t rgb[3]) {
  double steps[3];
  const bool fits = srgb_fits(lab, 0.5, steps); /* what only rounds to the edge has not been changed */
  if (!fits) chroma_lower(lab, steps);
  for (int i = 0; i < 3; i++) rgb[i] = (uint8_t)lround(fmin(fmax(steps[i], 0.0), 255.0));
  return fits;
}
