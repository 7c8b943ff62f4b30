/* XYZ, CIELAB and its cylinder form. */
#include "dropwise/color.h"

#include "color/curve.h"

#include <math.h>

static double lab_curve(double t) {
  return t > DW__LAB_KNEE ? cbrt(t) : (DW__LAB_SLOPE * t + 16.0) / 116.0;
}

static double lab_curve_inverse(double f) {
  const double cube = f * f * f;
  return cube > DW__LAB_KNEE ? cube : (116.0 * f - 16.0) / DW__LAB_SLOPE;
}

static const dw_xyz white_d50 = {DW_D50_X, DW_D50_Y, DW_D50_Z};

dw_lab dw_lab_from_xyz_white(dw_xyz xyz, dw_xyz white) {
  double x = lab_curve(xyz.X / white.X), y = lab_curve(xyz.Y / white.Y), z = lab_curve(xyz.Z / white.Z);
  return (dw_lab){116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)};
}

dw_lab dw_lab_from_xyz(dw_xyz xyz) {
  return dw_lab_from_xyz_white(xyz, white_d50);
}

dw_xyz dw_xyz_from_lab(dw_lab lab) {
  double y = (lab.L + 16.0) / 116.0, x = y + lab.a / 500.0, z = y - lab.b / 200.0;
  return (dw_xyz){white_d50.X * lab_curve_inverse(x), white_d50.Y * lab_curve_inverse(y),
                  white_d50.Z * lab_curve_inverse(z)};
}

dw_lch dw_lch_from_lab(dw_lab lab) {
  double turns = lab.a == 0.0 && lab.b == 0.0 ? 0.0 : atan2(lab.b, lab.a) / (2.0 * acos(-1.0));
  double degrees = 360.0 * (turns < 0.0 ? turns + 1.0 : turns);
  return (dw_lch){lab.L, hypot(lab.a, lab.b), degrees < 360.0 ? degrees : 0.0};
}

dw_lab dw_lab_from_lch(dw_lch lch) {
  double radians = lch.h * acos(-1.0) / 180.0;
  return (dw_lab){lch.L, lch.C * cos(radians), lch.C * sin(radians)};
}

double dw_hue_shown(dw_lch lch, int c_decimals, int h_decimals) {
  if (!(dw_rounded(lch.C, c_decimals) > 0.0)) return NAN;
  double h = dw_rounded(lch.h, h_decimals);
  return h < 360.0 ? h : 0.0;
}
