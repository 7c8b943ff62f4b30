/* Kubelka-Munk in a form without division by S and without an overflowing exponential.
 *
 * Kubelka's R = (1 - Rg (a - b coth bSd)) / (a - Rg + b coth bSd), with a = 1 + K/S, b = sqrt(a a - 1), is
 * multiplied through by S (1 - e), where g = S b = sqrt(K (K + 2 S)) and e = exp(-2 g d):
 *   N = (1 - e)(S - Rg (S + K)) + Rg g (1 + e),   D = (1 - e)(S + K - Rg S) + g (1 + e),   R = N / D.
 * So a slab of no thickness (e = 1) gives Rg, a thick one (e = 0) gives R-infinity, and S = 0 gives
 * Rg exp(-2 K d), all without a special case. The loops hold nothing but arithmetic, sqrt and exp: this file
 * alone is compiled with -ffast-math (CMakeLists.txt) so that they become vector code. */
#include "mix/km.h"

#include <math.h>

/* Where the processor has wider vectors than every x86-64 must have, the loops run in those, about twice as
 * fast; without fused multiply-add, so that only the order of sums differs. By gcc alone: clang 14 gives such
 * functions a name that other files don't find. */
#if defined __x86_64__ && defined __GNUC__ && !defined __clang__
#define DW__VECTOR __attribute__((target_clones("avx2", "default")))
#else
#define DW__VECTOR
#endif

#define EXPONENT_MOST 100.0 /* 2 g d beyond this: exp is 0 for every purpose */

dw__km dw__km_view(const dw_surface *surface, const dw_slab *slab) {
  double k1 = surface->k1, k2 = surface->k2, rg = slab->backing;
  double through_air = k2 + (1 - k2) * (1 - k1) * rg / (1 - k1 * rg);
  return (dw__km){.thickness_mm = slab->thickness_mm,
                  .backing = (1 - surface->gap) * rg + surface->gap * through_air,
                  .k2 = k2,
                  .transmitted = (1 - k1) * (1 - k2)};
}

static inline double at_least(double x, double least) {
  return x > least ? x : least;
}

static inline double at_most(double x, double most) {
  return x < most ? x : most;
}

DW__VECTOR void dw__km_bands(const dw__km *view, const double *restrict K, const double *restrict S,
                             double *restrict R) {
  const double d2 = 2 * view->thickness_mm, rg = view->backing, k2 = view->k2, out = view->transmitted;
  for (int i = 0; i < DW_BANDS; i++) {
    double k = at_least(K[i], DW__KM_FLOOR), s = at_least(S[i], DW__KM_FLOOR);
    double g = sqrt(k * (k + 2 * s));
    double e = exp(-at_most(g * d2, EXPONENT_MOST));
    double m = 1 - e, ge = g * (1 + e);
    double r = (m * (s - rg * (s + k)) + rg * ge) / (m * (s + k - rg * s) + ge);
    R[i] = out * r / (1 - k2 * r);
  }
}

DW__VECTOR void dw__km_bands_slopes(const dw__km *view, const double *restrict K, const double *restrict S,
                                    double *restrict R, double *restrict dR_dK, double *restrict dR_dS) {
  const double d2 = 2 * view->thickness_mm, rg = view->backing, k2 = view->k2, out = view->transmitted;
  for (int i = 0; i < DW_BANDS; i++) {
    double k = at_least(K[i], DW__KM_FLOOR), s = at_least(S[i], DW__KM_FLOOR);
    double g = sqrt(k * (k + 2 * s));
    double e = exp(-at_most(g * d2, EXPONENT_MOST));
    double m = 1 - e, ge = g * (1 + e);
    double n1 = s - rg * (s + k), d1 = s + k - rg * s;
    double D = 1 / (m * d1 + ge);
    double r = (m * n1 + rg * ge) * D;
    /* Along g: dm = d2 e dg and d(g (1 + e)) = (1 + e - g d2 e) dg; then N and D for K and S held in g. */
    double dm = d2 * e, dge = 1 + e - g * dm;
    double along_g = dm * n1 + rg * dge - r * (dm * d1 + dge);
    double inside = out / ((1 - k2 * r) * (1 - k2 * r));
    double per_g = along_g / g;
    R[i] = out * r / (1 - k2 * r);
    dR_dK[i] = inside * D * (per_g * (k + s) - m * (rg + r));
    dR_dS[i] = inside * D * (per_g * k + m * (1 - rg) * (1 - r));
  }
}

DW__VECTOR void dw__spectra_add(dw_spectra *to, double amount, const dw_spectra *from) {
  for (int i = 0; i < DW_BANDS; i++) {
    to->k[i] += amount * from->k[i];
    to->s[i] += amount * from->s[i];
  }
}

DW__VECTOR void dw__bands_sum(const double weights[3][DW_BANDS], const double *R, double out[3]) {
  for (int c = 0; c < 3; c++) {
    double sum = 0;
    for (int i = 0; i < DW_BANDS; i++) sum += weights[c][i] * R[i];
    out[c] = sum;
  }
}

DW__VECTOR void dw__bands_slope(const dw__sensitivity *sensitivity, const dw_spectra *colorant,
                                double out[3]) {
  for (int c = 0; c < 3; c++) {
    const double *per_K = sensitivity->per_K[c], *per_S = sensitivity->per_S[c];
    double sum = 0;
    for (int i = 0; i < DW_BANDS; i++) sum += per_K[i] * colorant->k[i] + per_S[i] * colorant->s[i];
    out[c] = sum;
  }
}

DW__VECTOR void dw__km_bands_backing_slope(const dw__km *view, const double *restrict K,
                                           const double *restrict S, double *restrict slope) {
  const double d2 = 2 * view->thickness_mm, rg = view->backing;
  for (int i = 0; i < DW_BANDS; i++) {
    double k = at_least(K[i], DW__KM_FLOOR), s = at_least(S[i], DW__KM_FLOOR);
    double g = sqrt(k * (k + 2 * s));
    double e = exp(-at_most(g * d2, EXPONENT_MOST));
    double D = (1 - e) * (s + k - rg * s) + g * (1 + e);
    slope[i] = 4 * g * g * e / (D * D); /* of a fraction of two lines in Rg: its determinant over D squared */
  }
}
