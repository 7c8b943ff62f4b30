/* Kubelka-Munk against its closed forms. */
#include "check.h"
#include "dropwise/numeric.h"
#include "mix/km.h"

static const dw_surface bare = {0, 0, 0}; /* no surface: Kubelka's own R */

/* One band's reflectance, all bands alike. */
static double reflectance(double K, double S, double thickness_mm, double backing, dw_surface surface) {
  double k[DW_BANDS], s[DW_BANDS], R[DW_BANDS];
  dw__km view = dw__km_view(&surface, &(dw_slab){thickness_mm, backing});
  for (int i = 0; i < DW_BANDS; i++) {
    k[i] = K;
    s[i] = S;
  }
  dw__km_bands(&view, k, s, R);
  for (int i = 1; i < DW_BANDS; i++) assert_near(R[i], R[0], 1e-11); /* vector and scalar exp differ a bit */
  return R[0];
}

/* R-infinity = 1 + K/S - sqrt((K/S)^2 + 2 K/S): Kubelka and Munk, Z. techn. Physik 12 (1931) 593. */
static void test_thick_layer_is_r_infinity(void **state) {
  (void)state;
  const double ratios[] = {1e-4, 0.01, 0.25, 1, 4.05, 50};
  for (size_t i = 0; i < sizeof ratios / sizeof *ratios; i++) {
    const double q = ratios[i], expected = 1 + q - sqrt(q * q + 2 * q);
    for (double backing = 0; backing <= 1; backing += 0.25)
      assert_near(reflectance(0.5 * q, 0.5, 1e4, backing, bare), expected, 1e-12);
  }
}

/* The Kubelka-Munk function K/S = (1 - R)^2 / (2 R), values as tabulated (Judd and Wyszecki, Color in
 * Business, Science and Industry, 3rd ed. 1975, appendix; typed from memory): R 0.5 has K/S 0.25, 0.1
 * has 4.05 ... */
static void test_table_of_k_over_s(void **state) {
  (void)state;
  const double table[][2] = {{0.90, 0.005556}, {0.80, 0.025}, {0.50, 0.25}, {0.40, 0.45},
                             {0.25, 1.125},    {0.20, 1.60},  {0.10, 4.05}, {0.05, 9.025}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++)
    assert_near(reflectance(table[i][1] * 2, 2, 1e4, 0.3, bare), table[i][0], 1e-5);
}

static void test_no_thickness_is_the_backing(void **state) {
  (void)state;
  for (double backing = 0; backing <= 1; backing += 0.125) {
    assert_near(reflectance(0.3, 0.7, 0, backing, bare), backing, 1e-13);
    assert_near(reflectance(0, 0, 0, backing, bare), backing, 1e-8);
  }
}

/* Without scattering light crosses the slab twice: Rg exp(-2 K d) (Bouguer's law). S stands at its floor. */
static void test_absorbing_slab(void **state) {
  (void)state;
  for (double K = 0.001; K < 2; K *= 3)
    assert_near(reflectance(K, 0, 3, 0.8, bare), 0.8 * exp(-2 * K * 3), 1e-6);
}

/* Without absorption, over black: R = S d / (1 + S d) (Kubelka 1948, equation for K = 0). K stands at its
 * floor, which costs some 1e-5. */
static void test_scattering_slab(void **state) {
  (void)state;
  for (double S = 0.001; S < 3; S *= 3) {
    const double Sd = S * 5;
    assert_near(reflectance(0, S, 5, 0, bare), Sd / (1 + Sd), 1e-5);
  }
}

/* Kubelka, J. Opt. Soc. Am. 38 (1948) 448, as printed, in long double. */
static long double kubelka_1948(long double K, long double S, long double d, long double Rg) {
  const long double a = 1 + K / S, b = sqrtl(a * a - 1), q = b / tanhl(b * S * d);
  return (1 - Rg * (a - q)) / (a - Rg + q);
}

static void test_against_the_printed_form(void **state) {
  (void)state;
  dw_random random = dw_random_seed(3);
  for (int i = 0; i < 20000; i++) {
    const double K = exp(-9 + 10 * dw_random_uniform(&random)), S = exp(-7 + 8 * dw_random_uniform(&random));
    const double d = 0.2 + 15 * dw_random_uniform(&random), Rg = dw_random_uniform(&random);
    assert_near(reflectance(K, S, d, Rg, bare), (double)kubelka_1948(K, S, d, Rg), 1e-10);
  }
}

/* Saunderson, J. Opt. Soc. Am. 32 (1942) 727, specular excluded: (1 - k1)(1 - k2) R / (1 - k2 R). A perfect
 * white inside stays just below 1 - k1 outside. */
static void test_surface(void **state) {
  (void)state;
  const dw_surface surface = {0.04, 0.6, 0};
  const double inside = reflectance(0.2, 0.5, 8, 0.3, bare), outside = reflectance(0.2, 0.5, 8, 0.3, surface);
  assert_near(outside, 0.96 * 0.4 * inside / (1 - 0.6 * inside), 1e-13);
  assert_near(reflectance(0, 0, 0, 1, surface), 0.96, 1e-6);
}

/* An air gap under clear plastic: with gap 1 and no plastic the backing acts as k2 + (1-k2)(1-k1) Rg/(1-k1
 * Rg). */
static void test_air_gap(void **state) {
  (void)state;
  const double Rg = 0.7, expected = 0.6 + 0.4 * 0.96 * Rg / (1 - 0.04 * Rg);
  dw_surface surface = {0.04, 0.6, 1};
  dw__km view = dw__km_view(&surface, &(dw_slab){3, Rg});
  assert_near(view.backing, expected, 1e-14);
  surface.gap = 0.25;
  view = dw__km_view(&surface, &(dw_slab){3, Rg});
  assert_near(view.backing, 0.75 * Rg + 0.25 * expected, 1e-14);
}

static void test_extremes_stay_finite(void **state) {
  (void)state;
  const double values[] = {0, 1e-300, 1e-7, 1e-3, 1, 1e4, 1e8};
  const size_t n = sizeof values / sizeof *values;
  for (size_t i = 0; i < n * n * n; i++) {
    const double R = reflectance(values[i % n], values[i / n % n], values[i / n / n] / 100, 0.5, bare);
    assert_true(R >= -1e-12 && R <= 1 + 1e-12);
  }
}

/* Slopes against five-point differences in the logarithm, over all that plastic can be. */
static void test_slopes(void **state) {
  (void)state;
  dw_random random = dw_random_seed(11);
  const dw_surface surface = {0.04, 0.6, 0.3};
  for (int i = 0; i < 3000; i++) {
    const double K = exp(-8 + 9 * dw_random_uniform(&random)), S = exp(-7 + 7 * dw_random_uniform(&random));
    const double d = 0.5 + 12 * dw_random_uniform(&random), Rg = dw_random_uniform(&random), h = 1e-3;
    double k[DW_BANDS], s[DW_BANDS], R[DW_BANDS], dR_dK[DW_BANDS], dR_dS[DW_BANDS];
    for (int j = 0; j < DW_BANDS; j++) {
      k[j] = K;
      s[j] = S;
    }
    dw__km view = dw__km_view(&surface, &(dw_slab){d, Rg});
    dw__km_bands_slopes(&view, k, s, R, dR_dK, dR_dS);
    assert_near(R[0], reflectance(K, S, d, Rg, surface), 1e-13);
    double by_k = 0, by_s = 0;
    for (int j = -2; j <= 2; j++) {
      const double weight = (const double[]){1, -8, 0, 8, -1}[j + 2] / (12 * h);
      by_k += weight * reflectance(K * (1 + j * h), S, d, Rg, surface);
      by_s += weight * reflectance(K, S * (1 + j * h), d, Rg, surface);
    }
    assert_near(dR_dK[0] * K, by_k, 1e-8);
    assert_near(dR_dS[0] * S, by_s, 1e-8);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_thick_layer_is_r_infinity),
                                     cmocka_unit_test(test_table_of_k_over_s),
                                     cmocka_unit_test(test_no_thickness_is_the_backing),
                                     cmocka_unit_test(test_absorbing_slab),
                                     cmocka_unit_test(test_scattering_slab),
                                     cmocka_unit_test(test_against_the_printed_form),
                                     cmocka_unit_test(test_surface),
                                     cmocka_unit_test(test_air_gap),
                                     cmocka_unit_test(test_extremes_stay_finite),
                                     cmocka_unit_test(test_slopes)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
