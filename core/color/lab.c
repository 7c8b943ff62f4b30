/* XYZ, CIELAB and its cylinder form. */
#include "pourtone/color.h"

#include "color/curve.h"

#include <math.h>

static double lab_curve(double t) {
  return t > PT__LAB_KNEE ? cbrt(t) : (PT__LAB_SLOPE * t + 16.0) / 116.0;
}

static double lab_curve_inverse(double f) {
  const double cube = f * f * f;
  return cube > PT__LAB_KNEE ? cube : (116.0 * f - 16.0) / PT__LAB_SLOPE;
}

static const pt_xyz white_d50 = {PT_D50_X, PT_D50_Y, PT_D50_Z};

pt_lab pt_lab_from_xyz_white(pt_xyz xyz, pt_xyz white) {
  double x = lab_curve(xyz.X / white.X), y = lab_curve(xyz.Y / white.Y), z = lab_curve(xyz.Z / white.Z);
  return (pt_lab){116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)};
}

pt_lab pt_lab_from_xyz(pt_xyz xyz) {
  return pt_lab_from_xyz_white(xyz, white_d50);
}

pt_xyz pt_xyz_from_lab(pt_lab lab) {
  double y = (lab.L + 16.0) / 116.0, x = y + lab.a / 500.0, z = y - lab.b / 200.0;
  return (pt_xyz){white_d50.X * lab_curve_inverse(x), white_d50.Y * lab_curve_inverse(y),
                  white_d50.Z * lab_curve_inverse(z)};
}

pt_lch pt_lch_from_lab(pt_lab lab) {
  double turns = lab.a == 0.0 && lab.b == 0.0 ? 0.0 : atan2(lab.b, lab.a) / (2.0 * acos(-1.0));
  double degrees = 360.0 * (turns < 0.0 ? turns + 1.0 : turns);
  return (pt_lch){lab.L, hypot(lab.a, lab.b), degrees < 360.0 ? degrees : 0.0};
}

pt_lab pt_lab_from_lch(pt_lch lch) {
  double radians = lch.h * acos(-1.0) / 180.0;
  return (pt_lab){lch.L, lch.C * cos(radians), lch.C * sin(radians)};
}

double pt_hue_shown(pt_lch lch, int c_decimals, int h_decimals) {
  if (!(pt_rounded(lch.C, c_decimals) > 0.0)) return NAN;
  double h = pt_rounded(lch.h, h_decimals);
  return h < 360.0 ? h : 0.0;
}
