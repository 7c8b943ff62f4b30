/* What a patch is to the fit: its color by the card, the metric of its errors, working values. */
#include "card/sample.h"

#include <math.h>

bool dw__patch_gray(dw_lab lab) {
  return hypot(lab.a, lab.b) < DW__GRAY_CHROMA;
}

/* d f / d t of CIELAB's companding (CIE 15:2018, 8.2.1). */
static double compand_slope(double t) {
  const double delta = 6.0 / 29.0;
  return t > delta * delta * delta ? 1.0 / (3.0 * cbrt(t * t)) : 1.0 / (3.0 * delta * delta);
}

void dw__sample_target(dw__sample *sample, dw_lab lab) {
  double turn[9];
  sample->lab = lab;
  sample->xyz = dw_xyz_from_lab(lab);
  sample->weight = 1.0;
  sample->gray = dw__patch_gray(lab);
  const double fx = compand_slope(sample->xyz.X / DW_D50_X) / DW_D50_X;
  const double fy = compand_slope(sample->xyz.Y / DW_D50_Y) / DW_D50_Y;
  const double fz = compand_slope(sample->xyz.Z / DW_D50_Z) / DW_D50_Z;
  const double lab_by_xyz[9] = {0, 116 * fy, 0, 500 * fx, -500 * fy, 0, 0, 200 * fy, -200 * fz};
  dw_de00_metric(lab, turn);
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++) {
      sample->metric[3 * i + j] = 0.0;
      for (int k = 0; k < 3; k++) sample->metric[3 * i + j] += turn[3 * i + k] * lab_by_xyz[3 * k + j];
    }
}

void dw__wide_from_linear(const double rgb[3], double out[3]) {
  static const double m[9] = {0.8224619687, 0.1775380313, 0.0000000000, 0.0331941989, 0.9668058011,
                              0.0000000000, 0.0170826307, 0.0723974407, 0.9105199286};
  const double in[3] = {rgb[0], rgb[1], rgb[2]};
  for (int c = 0; c < 3; c++) out[c] = m[3 * c] * in[0] + m[3 * c + 1] * in[1] + m[3 * c + 2] * in[2];
}
