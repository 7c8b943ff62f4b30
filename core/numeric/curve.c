/* Monotone piecewise cubic Hermite interpolation.
 *
 * Slopes by the weighted harmonic mean of Fritsch and Butland (SIAM J. Sci. Stat. Comput. 5 (1984) 300),
 * which lies within Fritsch and Carlson's monotone region (SIAM J. Numer. Anal. 17 (1980) 238); the ends by
 * the three-point formula, held within the same region (Moler, Numerical Computing with MATLAB, 3.6). */
#include "dropwise/numeric.h"

#include <math.h>

static dw_status points_check(const double *x, const double *y, size_t n, dw_error *err) {
  if (n < 2 || n > DW_CURVE_MAX)
    return dw_fail(err, DW_BAD_INPUT, "A curve needs 2 to %d points, not %zu.", DW_CURVE_MAX, n);
  for (size_t i = 0; i < n; i++) {
    if (!isfinite(x[i]) || !isfinite(y[i]))
      return dw_fail(err, DW_BAD_INPUT, "Point %zu of a curve is not finite: check the measurements.", i + 1);
    if (i > 0 && !(x[i] > x[i - 1]))
      return dw_fail(err, DW_BAD_INPUT, "Points %zu and %zu of a curve are out of order: %g is not above %g.",
                     i, i + 1, x[i], x[i - 1]);
  }
  return DW_OK;
}

/* h and d: width and secant slope of the two neighboring intervals. */
static double slope_inside(double h0, double h1, double d0, double d1) {
  if (d0 * d1 <= 0.0) return 0.0;
  double w0 = 2.0 * h1 + h0, w1 = h1 + 2.0 * h0;
  return (w0 + w1) / (w0 / d0 + w1 / d1);
}

/* h0, d0 belong to the end interval, h1, d1 to the next one inward. */
static double slope_end(double h0, double h1, double d0, double d1) {
  double slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
  if (slope * d0 <= 0.0) return 0.0;
  if (d0 * d1 <= 0.0 && fabs(slope) > 3.0 * fabs(d0)) return 3.0 * d0;
  return slope;
}

dw_status dw_curve_fit(const double *x, const double *y, size_t n, dw_curve *out, dw_error *err) {
  dw_status status = points_check(x, y, n, err);
  if (status != DW_OK) return status;
  double h[DW_CURVE_MAX], d[DW_CURVE_MAX];
  dw_curve curve = {.n = n};
  for (size_t i = 0; i < n; i++) {
    curve.x[i] = x[i];
    curve.y[i] = y[i];
    if (i + 1 == n) break;
    h[i] = x[i + 1] - x[i];
    d[i] = (y[i + 1] - y[i]) / h[i];
  }
  if (n == 2) {
    curve.slope[0] = curve.slope[1] = d[0];
  } else {
    curve.slope[0] = slope_end(h[0], h[1], d[0], d[1]);
    for (size_t i = 1; i + 1 < n; i++) curve.slope[i] = slope_inside(h[i - 1], h[i], d[i - 1], d[i]);
    curve.slope[n - 1] = slope_end(h[n - 2], h[n - 3], d[n - 2], d[n - 3]);
  }
  *out = curve;
  return DW_OK;
}

double dw_curve_at(const dw_curve *curve, double x) {
  size_t last = curve->n - 1, i = 0;
  if (x <= curve->x[0]) return curve->y[0] + curve->slope[0] * (x - curve->x[0]);
  if (x >= curve->x[last]) return curve->y[last] + curve->slope[last] * (x - curve->x[last]);
  while (x > curve->x[i + 1]) i++;
  double h = curve->x[i + 1] - curve->x[i], t = (x - curve->x[i]) / h, u = 1.0 - t;
  return u * u * ((1.0 + 2.0 * t) * curve->y[i] + t * h * curve->slope[i]) +
         t * t * ((1.0 + 2.0 * u) * curve->y[i + 1] - u * h * curve->slope[i + 1]);
}
