/* Student's t and F by the regularized incomplete beta function (DLMF 8.17). */
#include "dropwise/numeric.h"

#include <math.h>

/* Beyond this many degrees of freedom t and the normal agree to a relative 1e-9. */
static const double NORMAL_ABOVE = 1e10;

/* ln(Gamma(a + 1/2) / Gamma(a)). For large a both logarithms are huge and cancel, so there the asymptotic
 * series is taken (DLMF 5.11.13). lgamma_r, because lgamma writes a global. */
static double log_gamma_step(double a) {
  int sign = 0;
  if (a < 100.0) return lgamma_r(a + 0.5, &sign) - lgamma_r(a, &sign);
  return 0.5 * log(a) - 1.0 / (8.0 * a) + 1.0 / (192.0 * a * a * a);
}

/* The continued fraction of I_x(a, b), DLMF 8.17.22, by Lentz's method. */
static double beta_fraction(double x, double a, double b) {
  enum { MAX_STEPS = 100000 };
  const double tiny = 1e-300;
  double c = 1.0, d = 1.0 - (a + b) * x / (a + 1.0), value;
  d = 1.0 / (fabs(d) < tiny ? tiny : d);
  value = d;
  for (int i = 1; i < MAX_STEPS; i++) {
    double m = i, even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
    double odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
    const double terms[2] = {even, odd};
    double change = 1.0;
    for (int half = 0; half < 2; half++) {
      d = 1.0 + terms[half] * d;
      c = 1.0 + terms[half] / c;
      d = 1.0 / (fabs(d) < tiny ? tiny : d);
      c = fabs(c) < tiny ? tiny : c;
      change = c * d;
      value *= change;
    }
    if (fabs(change - 1.0) < 1e-16) break;
  }
  return value;
}

/* P(|T| >= |t|) = I_{v/(v+t^2)}(v/2, 1/2) */
double dw_student_t_two_sided(double t, double degrees_of_freedom) {
  const double v = degrees_of_freedom, half = v / 2.0, square = t * t;
  if (isnan(t) || !(v > 0.0)) return NAN;
  if (isinf(square)) return 0.0;
  if (v > NORMAL_ABOVE) return erfc(fabs(t) / sqrt(2.0));
  const double x = v / (v + square), rest = square / (v + square);
  if (rest <= 0.0) return 1.0;
  /* 1 / B(v/2, 1/2) = Gamma(v/2 + 1/2) / (Gamma(v/2) Gamma(1/2)) */
  double front = exp(log_gamma_step(half) - half * log1p(square / v)) * sqrt(rest / acos(-1.0));
  if (x < (half + 1.0) / (half + 2.5)) return front * beta_fraction(x, half, 0.5) / half;
  return 1.0 - front * beta_fraction(rest, 0.5, half) / 0.5;
}

/* P(F >= f) = I_x(d2/2, d1/2) with x = d2 / (d2 + d1 f) */
double dw_f_upper_tail(double f, double d1, double d2) {
  if (isnan(f) || !(d1 > 0.0) || !(d2 > 0.0)) return NAN;
  if (f <= 0.0) return 1.0;
  const double a = d2 / 2.0, b = d1 / 2.0, x = d2 / (d2 + d1 * f), rest = d1 * f / (d2 + d1 * f);
  if (x <= 0.0) return 0.0;
  int sign = 0;
  double front =
      exp(lgamma_r(a + b, &sign) - lgamma_r(a, &sign) - lgamma_r(b, &sign) + a * log(x) + b * log(rest));
  if (x < (a + 1.0) / (a + b + 2.0)) return front * beta_fraction(x, a, b) / a;
  return 1.0 - front * beta_fraction(rest, b, a) / b;
}
