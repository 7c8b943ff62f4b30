#include "check.h"
#include "dropwise/color.h"
#include "dropwise/numeric.h"

static void test_white_black_and_knee(void **state) {
  (void)state;
  const dw_lab white = dw_lab_from_xyz((dw_xyz){DW_D50_X, DW_D50_Y, DW_D50_Z});
  assert_true(white.L == 100 && white.a == 0 && white.b == 0);
  const dw_lab black = dw_lab_from_xyz((dw_xyz){0, 0, 0});
  assert_near(black.L, 0, 1e-14);
  /* CIE 15:2004, 8.2.1.1: both branches meet at Y = 216/24389, where L* = 8 */
  for (int side = -1; side <= 1; side++) {
    const double t = 216.0 / 24389 * (1 + side * 1e-12);
    assert_near(dw_lab_from_xyz((dw_xyz){0, t, 0}).L, 8, 1e-9);
  }
  /* Y = 0.184187 has L* = 50: (66/116)^3, exact */
  assert_near(dw_lab_from_xyz((dw_xyz){0, pow(66.0 / 116, 3), 0}).L, 50, 1e-12);
}

static void test_round_trips(void **state) {
  (void)state;
  dw_random random = dw_random_seed(50);
  for (int i = 0; i < 50000; i++) {
    const dw_lab lab = {120 * dw_random_uniform(&random) - 10, 300 * dw_random_uniform(&random) - 150,
                        300 * dw_random_uniform(&random) - 150};
    const dw_lab back = dw_lab_from_xyz(dw_xyz_from_lab(lab));
    assert_near(back.L, lab.L, 1e-11);
    assert_near(back.a, lab.a, 1e-11);
    assert_near(back.b, lab.b, 1e-11);
    const dw_lch lch = dw_lch_from_lab(lab);
    assert_true(lch.h >= 0 && lch.h < 360 && lch.C >= 0);
    const dw_lab again = dw_lab_from_lch(lch);
    assert_near(again.a, lab.a, 1e-11);
    assert_near(again.b, lab.b, 1e-11);
  }
}

static void test_hue_quadrants(void **state) {
  (void)state;
  const double expected[5][3] = {{10, 0, 0}, {0, 10, 90}, {-10, 0, 180}, {0, -10, 270}, {0, 0, 0}};
  for (int i = 0; i < 5; i++)
    assert_near(dw_lch_from_lab((dw_lab){50, expected[i][0], expected[i][1]}).h, expected[i][2], 1e-12);
  assert_true(dw_lch_from_lab((dw_lab){50, 10, -1e-300}).h == 0);
  assert_true(dw_lch_from_lab((dw_lab){50, -0.0, -0.0}).h == 0);
}

static void test_other_white(void **state) {
  (void)state;
  const dw_xyz d65 = {0.9504, 1, 1.0889};
  const dw_lab white = dw_lab_from_xyz_white(d65, d65);
  assert_true(white.L == 100 && white.a == 0 && white.b == 0);
}

static void test_bands_hold_the_white(void **state) {
  (void)state;
  double ones[DW_BANDS], half[DW_BANDS];
  for (size_t i = 0; i < DW_BANDS; i++) {
    ones[i] = 1;
    half[i] = 0.184;
  }
  const dw_xyz white = dw_xyz_from_bands(ones);
  assert_near(white.X, DW_D50_X, 1e-15);
  assert_near(white.Y, DW_D50_Y, 1e-15);
  assert_near(white.Z, DW_D50_Z, 1e-15);
  const dw_lab gray = dw_lab_from_xyz(dw_xyz_from_bands(half));
  assert_near(hypot(gray.a, gray.b), 0, 1e-12);
  assert_true(dw_band_nm(0) == 400 && dw_band_nm(DW_BANDS - 1) == 700);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_white_black_and_knee),
                                     cmocka_unit_test(test_round_trips), cmocka_unit_test(test_hue_quadrants),
                                     cmocka_unit_test(test_other_white),
                                     cmocka_unit_test(test_bands_hold_the_white)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
