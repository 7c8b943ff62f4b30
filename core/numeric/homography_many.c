/* The projective map through many points, by least squares of its eight free numbers about the points' own
 * middle (Hartley and Zisserman, Multiple View Geometry, 4.1 and 4.4.4, with the last number set to 1). */
#include "dropwise/numeric.h"

#include <math.h>

enum { UNKNOWNS = 8 };

/* Middle and size of n points. */
typedef struct spread {
  double x, y, size;
} spread;

static spread spread_of(const double *xy, size_t n) {
  spread s = {0};
  for (size_t i = 0; i < n; i++) {
    s.x += xy[2 * i] / (double)n;
    s.y += xy[2 * i + 1] / (double)n;
  }
  for (size_t i = 0; i < n; i++) s.size += hypot(xy[2 * i] - s.x, xy[2 * i + 1] - s.y) / (double)n;
  return s;
}

/* Adds one equation to the normal ones. */
static void normal_add(double square[UNKNOWNS * UNKNOWNS], double side[UNKNOWNS], const double row[UNKNOWNS],
                       double aim) {
  for (int i = 0; i < UNKNOWNS; i++) {
    if (row[i] == 0.0) continue;
    side[i] += row[i] * aim;
    for (int j = 0; j <= i; j++) square[UNKNOWNS * i + j] += row[i] * row[j];
  }
}

/* The normal equations' triangle; in the points' own units they are well conditioned. */
static void normal_fill(const double *from, const double *to, size_t n, spread at, spread aim,
                        double square[UNKNOWNS * UNKNOWNS], double side[UNKNOWNS]) {
  for (size_t i = 0; i < n; i++) {
    const double u = (from[2 * i] - at.x) / at.size, v = (from[2 * i + 1] - at.y) / at.size,
                 x = (to[2 * i] - aim.x) / aim.size, y = (to[2 * i + 1] - aim.y) / aim.size;
    const double row_x[UNKNOWNS] = {u, v, 1, 0, 0, 0, -u * x, -v * x},
                 row_y[UNKNOWNS] = {0, 0, 0, u, v, 1, -u * y, -v * y};
    normal_add(square, side, row_x, x);
    normal_add(square, side, row_y, y);
  }
  for (int i = 0; i < UNKNOWNS; i++)
    for (int j = i + 1; j < UNKNOWNS; j++) square[UNKNOWNS * i + j] = square[UNKNOWNS * j + i];
}

/* Back from the points' own units: first the map's result, then its argument. */
static void units_undo(const double m[UNKNOWNS], spread at, spread aim, dw_homography *out) {
  double h[9];
  for (int k = 0; k < 3; k++) {
    const double w = k < 2 ? m[6 + k] : 1.0;
    h[k] = aim.size * m[k] + aim.x * w;
    h[3 + k] = aim.size * m[3 + k] + aim.y * w;
    h[6 + k] = w;
  }
  for (int r = 0; r < 3; r++) {
    out->m[3 * r] = h[3 * r] / at.size;
    out->m[3 * r + 1] = h[3 * r + 1] / at.size;
    out->m[3 * r + 2] = h[3 * r + 2] - (h[3 * r] * at.x + h[3 * r + 1] * at.y) / at.size;
  }
}

dw_status dw_homography_fit_many(const double *from, const double *to, size_t n, dw_homography *out,
                                 dw_error *err) {
  if (n < 4) return dw_fail(err, DW_TOO_FEW, "A projective map needs 4 points, not %zu.", n);
  const spread at = spread_of(from, n), aim = spread_of(to, n);
  if (!(at.size > 0.0 && aim.size > 0.0))
    return dw_fail(err, DW_BAD_INPUT, "The points of a projective map lie all in one place.");
  double square[UNKNOWNS * UNKNOWNS] = {0}, m[UNKNOWNS] = {0};
  normal_fill(from, to, n, at, aim, square, m);
  if (dw_cholesky(square, UNKNOWNS, NULL) != DW_OK)
    return dw_fail(err, DW_BAD_INPUT, "The points of a projective map lie on a line.");
  dw_cholesky_solve(square, UNKNOWNS, m, 1);
  units_undo(m, at, aim, out);
  return DW_OK;
}
