#include "check.h"
#include "dropwise/color.h"
#include "dropwise/numeric.h"

#include <lcms2.h>

static void multiply(const double *a, const double *b, size_t columns, double *out) {
  for (size_t i = 0; i < 3; i++)
    for (size_t j = 0; j < columns; j++)
      out[columns * i + j] =
          a[3 * i] * b[j] + a[3 * i + 1] * b[columns + j] + a[3 * i + 2] * b[2 * columns + j];
}

/* IEC 61966-2-1's primaries and white; Bradford's matrix (Lam 1985, as in ICC.1:2022, annex E). */
static void derive(double out[9]) {
  const double primaries[9] = {0.64, 0.30, 0.15, 0.33, 0.60, 0.06, 0.03, 0.10, 0.79};
  const double bradford[9] = {0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296};
  const double white[3] = {0.3127 / 0.3290, 1, 0.3583 / 0.3290}, d50[3] = {DW_D50_X, DW_D50_Y, DW_D50_Z};
  double amounts[3], matrix[9], from[3], to[3], cone[9], scaled[9];
  assert_int_equal(dw_least_squares(primaries, white, 3, 3, 1, amounts, NULL), DW_OK);
  for (int i = 0; i < 9; i++) matrix[i] = primaries[i] * amounts[i % 3];
  multiply(bradford, white, 1, from);
  multiply(bradford, d50, 1, to);
  multiply(bradford, matrix, 3, cone);
  for (int i = 0; i < 9; i++) scaled[i] = cone[i] * to[i / 3] / from[i / 3];
  assert_int_equal(dw_least_squares(bradford, scaled, 3, 3, 3, out, NULL), DW_OK);
}

static void test_matrix_follows_from_the_standard(void **state) {
  (void)state;
  double expected[9];
  derive(expected);
  for (int k = 0; k < 3; k++) {
    const double one[3] = {k == 0, k == 1, k == 2};
    const dw_xyz xyz = dw_xyz_from_linear(one);
    assert_near(xyz.X, expected[k], 2e-15);
    assert_near(xyz.Y, expected[3 + k], 2e-15);
    assert_near(xyz.Z, expected[6 + k], 2e-15);
  }
}

/* A saved profile holds the colorants to 1/65536 (s15Fixed16). */
static void test_matrix_of_littlecms(void **state) {
  (void)state;
  cmsHPROFILE profile = cmsCreate_sRGBProfile();
  const cmsTagSignature tags[] = {cmsSigRedColorantTag, cmsSigGreenColorantTag, cmsSigBlueColorantTag};
  for (int k = 0; k < 3; k++) {
    const double one[3] = {k == 0, k == 1, k == 2};
    const dw_xyz xyz = dw_xyz_from_linear(one);
    const cmsCIEXYZ *colorant = cmsReadTag(profile, tags[k]);
    assert_non_null(colorant);
    assert_near(xyz.X, colorant->X, 0.5 / 65536);
    assert_near(xyz.Y, colorant->Y, 0.5 / 65536);
    assert_near(xyz.Z, colorant->Z, 0.5 / 65536);
  }
  cmsCloseProfile(profile);
}

static void test_round_trips(void **state) {
  (void)state;
  for (double v = -1.5; v <= 1.5; v += 1.0 / 1024) {
    assert_near(dw_srgb_encode(dw_srgb_decode(v)), v, 1e-7); /* the standard's branches meet to 1e-8 */
    assert_near(dw_srgb_decode(-v), -dw_srgb_decode(v), 0);
  }
  double rgb[3] = {0.3, -0.2, 1.7}, back[3];
  dw_linear_from_xyz(dw_xyz_from_linear(rgb), back);
  for (int i = 0; i < 3; i++) assert_near(back[i], rgb[i], 1e-14);
}

static void test_all_grid_colors_come_back(void **state) {
  (void)state;
  for (int i = 0; i < 16 * 16 * 16; i++) {
    const uint8_t rgb[3] = {(uint8_t)(i / 256 * 17), (uint8_t)(i / 16 % 16 * 17), (uint8_t)(i % 16 * 17)};
    uint8_t back[3];
    assert_true(dw_srgb8_from_lab(dw_lab_from_srgb8(rgb), back));
    assert_memory_equal(rgb, back, 3);
  }
  const uint8_t white[3] = {255, 255, 255};
  const dw_lab lab = dw_lab_from_srgb8(white);
  assert_near(lab.L, 100, 1e-12);
  assert_near(hypot(lab.a, lab.b), 0, 1e-12);
}

/* Out of gamut: lightness and hue stay, chroma drops, and no more of it could be had. */
static void test_chroma_gives_way(void **state) {
  (void)state;
  for (int h = 0; h < 360; h += 5) {
    for (int L = 20; L <= 90; L += 10) {
      const dw_lab asked = dw_lab_from_lch((dw_lch){L, 180, h});
      uint8_t rgb[3];
      assert_false(dw_srgb8_from_lab(asked, rgb));
      const dw_lch shown = dw_lch_from_lab(dw_lab_from_srgb8(rgb));
      assert_near(shown.L, L, 0.7); /* an 8-bit step */
      assert_near(remainder(shown.h - h, 360) * shown.C * acos(-1.0) / 180, 0, 1.5);
      bool at_the_edge = false;
      for (int k = 0; k < 3; k++) at_the_edge = at_the_edge || rgb[k] == 0 || rgb[k] == 255;
      assert_true(at_the_edge);
    }
  }
}

static void test_impossible_lab(void **state) {
  (void)state;
  uint8_t rgb[3];
  assert_false(dw_srgb8_from_lab((dw_lab){130, 0, 0}, rgb));
  assert_true(rgb[0] == 255 && rgb[1] == 255 && rgb[2] == 255);
  assert_false(dw_srgb8_from_lab((dw_lab){-20, 30, 0}, rgb));
  assert_true(rgb[0] == 0 && rgb[1] == 0 && rgb[2] == 0);
  assert_false(dw_srgb8_from_lab((dw_lab){NAN, INFINITY, 0}, rgb));
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_matrix_follows_from_the_standard),
                                     cmocka_unit_test(test_matrix_of_littlecms),
                                     cmocka_unit_test(test_round_trips),
                                     cmocka_unit_test(test_all_grid_colors_come_back),
                                     cmocka_unit_test(test_chroma_gives_way),
                                     cmocka_unit_test(test_impossible_lab)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
