/* The projective map through four points.
 *
 * Three points, scaled so that they sum to the fourth, are the columns of the map from the projective basis
 * (1,0,0), (0,1,0), (0,0,1), (1,1,1) to the four. The map sought is one such matrix after the inverse of the
 * other (Hartley and Zisserman, Multiple View Geometry, 2.3 and example 2.12). */
#include "dropwise/numeric.h"

#include <math.h>

/* Twice the signed area of the triangle of points i, j, k. */
static double area(const double p[8], int i, int j, int k) {
  return (p[2 * j] - p[2 * i]) * (p[2 * k + 1] - p[2 * i + 1]) -
         (p[2 * k] - p[2 * i]) * (p[2 * j + 1] - p[2 * i + 1]);
}

/* False when three of the points lie on a line, as seen from the size of the figure. */
static bool basis_make(const double p[8], double m[9]) {
  double size = 0.0;
  for (int i = 2; i < 8; i++) size = fmax(size, fabs(p[i] - p[i % 2]));
  const double least = 1e-9 * size * size, whole = area(p, 0, 1, 2);
  const double scale[3] = {area(p, 3, 1, 2), area(p, 0, 3, 2), area(p, 0, 1, 3)};
  bool open = fabs(whole) > least; /* written so that a NaN fails */
  for (int i = 0; i < 3; i++) open = open && fabs(scale[i]) > least;
  if (!open) return false;
  for (int i = 0; i < 3; i++) {
    double share = scale[i] / whole;
    m[i] = share * p[2 * i];
    m[3 + i] = share * p[2 * i + 1];
    m[6 + i] = share;
  }
  return true;
}

/* The adjugate: the inverse but for a factor, which a projective map does not feel. */
static void adjugate(const double m[9], double out[9]) {
  for (int i = 0; i < 3; i++) {
    for (int j = 0; j < 3; j++) {
      int r0 = (j + 1) % 3, r1 = (j + 2) % 3, c0 = (i + 1) % 3, c1 = (i + 2) % 3;
      out[3 * i + j] = m[3 * r0 + c0] * m[3 * r1 + c1] - m[3 * r0 + c1] * m[3 * r1 + c0];
    }
  }
}

static void multiply(const double a[9], const double b[9], double out[9]) {
  for (int i = 0; i < 3; i++)
    for (int j = 0; j < 3; j++)
      out[3 * i + j] = a[3 * i] * b[j] + a[3 * i + 1] * b[3 + j] + a[3 * i + 2] * b[6 + j];
}

/* Points about their own first one: keeps large pixel coordinates from cancelling in the determinants. */
static void centered(const double p[8], double out[8]) {
  for (int i = 0; i < 8; i++) out[i] = p[i] - p[i % 2];
}

dw_status dw_homography_fit(const double from[8], const double to[8], dw_homography *out, dw_error *err) {
  double near_from[8], near_to[8], a[9], b[9], inverse[9], map[9], back[9], norm = 0.0;
  centered(from, near_from);
  centered(to, near_to);
  if (!basis_make(near_from, a) || !basis_make(near_to, b))
    return dw_fail(err, DW_BAD_INPUT,
                   "Three of the four corners lie on one line: mark the four corners again.");
  adjugate(a, inverse);
  multiply(b, inverse, map);
  const double shift_from[9] = {1, 0, -from[0], 0, 1, -from[1], 0, 0, 1};
  const double shift_to[9] = {1, 0, to[0], 0, 1, to[1], 0, 0, 1};
  multiply(map, shift_from, back);
  multiply(shift_to, back, map);
  for (int i = 0; i < 9; i++) norm = fmax(norm, fabs(map[i]));
  for (int i = 0; i < 9; i++) out->m[i] = map[i] / norm;
  return DW_OK;
}

void dw_homography_at(const dw_homography *map, double x, double y, double *out_x, double *out_y) {
  const double *m = map->m;
  double w = m[6] * x + m[7] * y + m[8];
  *out_x = (m[0] * x + m[1] * y + m[2]) / w;
  *out_y = (m[3] * x + m[4] * y + m[5]) / w;
}
