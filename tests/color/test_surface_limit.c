/* The lightest surface color of a chromaticity, against what reflectances themselves give: optimal colors are 0 or 1
 * with at most two steps (Schroedinger 1920), and nothing between 0 and 1 is lighter. */
#include "check.h"

#include "dropwise/color.h"
#include "dropwise/numeric.h"

#include <math.h>
#include <stdbool.h>

static void test_white_and_grays(void **state) {
  (void)state;
  for (double L = 5; L <= 100; L += 5) {
    dw_lab limit = dw_surface_lightest((dw_lab){L, 0, 0});
    assert_true(fabs(limit.L - 100) < 1e-6 && fabs(limit.a) < 1e-6 && fabs(limit.b) < 1e-6);
  }
}

/* A 0-or-1 spectrum with one step is its own limit, and with two (a band or a gap) where the spectrum's colors bend:
 * from yellow to red they lie on a straight line, and several bands there make one chromaticity. */
static void test_optimal_colors(void **state) {
  (void)state;
  for (size_t from = 0; from < DW_BANDS; from++)
    for (size_t to = from + 1; to <= DW_BANDS; to++)
      for (int gap = 0; gap < 2; gap++) {
        double r[DW_BANDS];
        for (size_t i = 0; i < DW_BANDS; i++) r[i] = (i >= from && i < to) != gap;
        dw_lab lab = dw_lab_from_xyz(dw_xyz_from_bands(r));
        if (lab.L < 1) continue;
        assert_true(dw_surface_lightest(lab).L >= lab.L - 1e-6);
        bool one_step = from == 0 || to == DW_BANDS,
             curved = dw_band_nm(to - 1) <= 560 && dw_band_nm(from) >= 420;
        if (lab.L > 10 && (one_step || curved)) assert_true(dw_de00(dw_surface_lightest(lab), lab) < 1e-3);
      }
}

static void test_nothing_real_is_lighter(void **state) {
  (void)state;
  dw_random random = dw_random_seed(5);
  for (int n = 0; n < 2000; n++) {
    double r[DW_BANDS];
    for (size_t i = 0; i < DW_BANDS; i++) r[i] = dw_random_uniform(&random);
    dw_lab lab = dw_lab_from_xyz(dw_xyz_from_bands(r));
    assert_true(dw_surface_lightest(lab).L >= lab.L);
    /* the limit depends on the chromaticity alone */
    for (size_t i = 0; i < DW_BANDS; i++) r[i] *= .3;
    dw_lab dim = dw_lab_from_xyz(dw_xyz_from_bands(r));
    assert_true(fabs(dw_surface_lightest(dim).L - dw_surface_lightest(lab).L) < 1e-6);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_white_and_grays),
                                     cmocka_unit_test(test_optimal_colors),
                                     cmocka_unit_test(test_nothing_real_is_lighter)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
