#include "spectra.h"

#include <math.h>

double band_nm(int band) {
  return 380.0 + 10.0 * band;
}

double bell(double nm, double center, double width) {
  double t = (nm - center) / width;
  return exp(-0.5 * t * t);
}

double falling(double nm, double center, double width) {
  return 1.0 / (1.0 + exp((nm - center) / width));
}

spectrum spectrum_flat(double value) {
  spectrum s;
  for (int i = 0; i < BANDS; i++) s.v[i] = value;
  return s;
}

/* Window light between D50 and D65; a white LED as blue pump and broad phosphor (invented, about 4300 K);
 * a bulb as Planck's law at 2856 K (CIE illuminant A's temperature). */
spectrum light_power(light_kind kind) {
  spectrum s;
  for (int i = 0; i < BANDS; i++) {
    double nm = band_nm(i);
    switch (kind) {
    case LIGHT_LED:
      s.v[i] = 0.85 * bell(nm, 452, 11) + 0.62 * bell(nm, 545, 44) + 0.66 * bell(nm, 607, 46);
      break;
    case LIGHT_WARM:
      s.v[i] = 1e3 * pow(nm / 560.0, -5.0) / expm1(1.4388e7 / (nm * 2856.0));
      break;
    default:
      s.v[i] = 0.55 * daylight[0][i] + 0.45 * daylight[1][i];
    }
  }
  return s;
}

const char *light_words(light_kind kind) {
  return kind == LIGHT_LED    ? "white LED, invented, about 4300 K"
         : kind == LIGHT_WARM ? "tungsten bulb, Planck 2856 K"
                              : "window daylight, between D50 and D65";
}

static xyz_color weigh(const spectrum *reflectance) {
  xyz_color out = {{0, 0, 0}};
  double y = 0;
  for (int i = 0; i < BANDS; i++) {
    y += observer[1][i] * daylight[0][i];
    for (int c = 0; c < 3; c++) out.v[c] += observer[c][i] * daylight[0][i] * reflectance->v[i];
  }
  for (int c = 0; c < 3; c++) out.v[c] /= y;
  return out;
}

xyz_color xyz_of(const spectrum *reflectance) {
  return weigh(reflectance);
}

/* CIE 15: the cube root with its straight foot. */
static double lightness_curve(double t) {
  return t > 216.0 / 24389.0 ? cbrt(t) : (24389.0 / 27.0 * t + 16.0) / 116.0;
}

lab_color lab_of(xyz_color xyz) {
  spectrum one = spectrum_flat(1);
  xyz_color white = weigh(&one);
  double f[3];
  for (int c = 0; c < 3; c++) f[c] = lightness_curve(xyz.v[c] / white.v[c]);
  return (lab_color){116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])};
}

/* XYZ D50 to linear sRGB: the inverse of the ICC sRGB profile's colorants (IEC 61966-2-1, Bradford). */
void linear_srgb_of(xyz_color d50, double rgb[3]) {
  static const double m[3][3] = {{3.1338561, -1.6168667, -0.4906146},
                                 {-0.9787684, 1.9161415, 0.0334540},
                                 {0.0719453, -0.2289914, 1.4052427}};
  for (int c = 0; c < 3; c++) rgb[c] = m[c][0] * d50.v[0] + m[c][1] * d50.v[1] + m[c][2] * d50.v[2];
}
