#include "check.h"
#include "dropwise/numeric.h"

static void test_curve_is_monotone_and_passes_through(void **state) {
  (void)state;
  dw_random random = dw_random_seed(11);
  for (int round = 0; round < 300; round++) {
    double x[DW_CURVE_MAX], y[DW_CURVE_MAX];
    size_t n = 2 + (size_t)(dw_random_uniform(&random) * (DW_CURVE_MAX - 1));
    x[0] = y[0] = 0;
    for (size_t i = 1; i < n; i++) {
      x[i] = x[i - 1] + 0.01 + dw_random_uniform(&random);
      y[i] = y[i - 1] + (dw_random_uniform(&random) < 0.2 ? 0 : pow(dw_random_uniform(&random), 6));
    }
    dw_curve curve;
    assert_int_equal(dw_curve_fit(x, y, n, &curve, NULL), DW_OK);
    for (size_t i = 0; i < n; i++) assert_near(dw_curve_at(&curve, x[i]), y[i], 1e-14);
    double before = dw_curve_at(&curve, -1);
    for (double at = -1; at < x[n - 1] + 1; at += x[n - 1] / 500) {
      double now = dw_curve_at(&curve, at);
      assert_true(now >= before - 1e-14);
      before = now;
    }
  }
}

/* A straight line is reproduced everywhere, also beyond its ends. */
static void test_curve_keeps_a_line(void **state) {
  (void)state;
  const double x[] = {0, 0.3, 1, 4}, y[] = {1, 1.6, 3, 9};
  for (size_t n = 2; n <= 4; n++) {
    dw_curve curve;
    assert_int_equal(dw_curve_fit(x, y, n, &curve, NULL), DW_OK);
    for (double at = -3; at < 8; at += 0.1) assert_near(dw_curve_at(&curve, at), 1 + 2 * at, 1e-13);
  }
}

static void test_curve_refuses(void **state) {
  (void)state;
  const double x[] = {0, 1, 1}, y[] = {0, 1, 2}, bad[] = {0, NAN, 2};
  dw_curve curve;
  dw_error err;
  assert_int_equal(dw_curve_fit(x, y, 1, &curve, &err), DW_BAD_INPUT);
  assert_int_equal(dw_curve_fit(x, y, DW_CURVE_MAX + 1, &curve, &err), DW_BAD_INPUT);
  assert_int_equal(dw_curve_fit(x, y, 3, &curve, &err), DW_BAD_INPUT);
  assert_non_null(strstr(err.text, "out of order"));
  assert_int_equal(dw_curve_fit(y, bad, 3, &curve, &err), DW_BAD_INPUT);
}

/* The square to a trapezoid: the crossing of the diagonals goes to the crossing of the diagonals, which for
 * (0,0) (4,0) (3,2) (1,2) lies at (2, 4/3) by similar triangles. */
static void test_homography_keeps_crossings(void **state) {
  (void)state;
  const double square[] = {0, 0, 1, 0, 1, 1, 0, 1}, trapezoid[] = {0, 0, 4, 0, 3, 2, 1, 2};
  dw_homography map;
  double x, y;
  assert_int_equal(dw_homography_fit(square, trapezoid, &map, NULL), DW_OK);
  dw_homography_at(&map, 0.5, 0.5, &x, &y);
  assert_near(x, 2, 1e-14);
  assert_near(y, 4.0 / 3, 1e-14);
}

static void test_homography_at_large_pixels(void **state) {
  (void)state;
  dw_random random = dw_random_seed(5);
  for (int round = 0; round < 500; round++) {
    double from[8], to[8];
    const double corners[] = {0, 0, 1, 0, 1, 1, 0, 1};
    for (int i = 0; i < 8; i++) {
      from[i] = 9000 + 300 * corners[i] + 60 * dw_random_uniform(&random);
      to[i] = 5000 + 3000 * corners[i] + 900 * dw_random_uniform(&random);
    }
    dw_homography there, back;
    assert_int_equal(dw_homography_fit(from, to, &there, NULL), DW_OK);
    assert_int_equal(dw_homography_fit(to, from, &back, NULL), DW_OK);
    double x, y;
    for (int i = 0; i < 4; i++) {
      dw_homography_at(&there, from[2 * i], from[2 * i + 1], &x, &y);
      assert_near(x, to[2 * i], 1e-6);
      assert_near(y, to[2 * i + 1], 1e-6);
    }
    dw_homography_at(&there, 9111.25, 9222.5, &x, &y);
    dw_homography_at(&back, x, y, &x, &y);
    assert_near(x, 9111.25, 1e-6);
    assert_near(y, 9222.5, 1e-6);
  }
}

/* Exact points give the exact map; of noisy ones the middle is nearer than any. */
static void test_homography_through_many(void **state) {
  (void)state;
  dw_random random = dw_random_seed(6);
  const dw_homography truth = {{210, -30, 4100, 25, 190, 3200, 0.02, -0.03, 1}};
  double from[48], to[48], noisy[48], x, y;
  for (int i = 0; i < 24; i++) {
    from[2 * i] = i % 6;
    from[2 * i + 1] = i / 6;
    dw_homography_at(&truth, from[2 * i], from[2 * i + 1], &to[2 * i], &to[2 * i + 1]);
    for (int c = 0; c < 2; c++) noisy[2 * i + c] = to[2 * i + c] + dw_random_normal(&random);
  }
  dw_homography map;
  assert_int_equal(dw_homography_fit_many(from, to, 24, &map, NULL), DW_OK);
  for (int i = 0; i < 24; i++) {
    dw_homography_at(&map, from[2 * i], from[2 * i + 1], &x, &y);
    assert_near(x, to[2 * i], 1e-6);
    assert_near(y, to[2 * i + 1], 1e-6);
  }
  assert_int_equal(dw_homography_fit_many(from, noisy, 24, &map, NULL), DW_OK);
  dw_homography_at(&map, 2.5, 1.5, &x, &y);
  double true_x, true_y;
  dw_homography_at(&truth, 2.5, 1.5, &true_x, &true_y);
  assert_true(hypot(x - true_x, y - true_y) < 1.0); /* about 4 deviations of the mean of 24 */
  assert_int_equal(dw_homography_fit_many(from, to, 3, &map, NULL), DW_TOO_FEW);
  assert_int_equal(dw_homography_fit_many(from, to, 6, &map, NULL), DW_BAD_INPUT); /* one row: a line */
}

static void test_homography_refuses(void **state) {
  (void)state;
  const double square[] = {0, 0, 1, 0, 1, 1, 0, 1}, line[] = {0, 0, 1, 1, 2, 2, 0, 5};
  const double same[] = {3, 3, 3, 3, 3, 3, 3, 3}, bad[] = {0, 0, 1, 0, NAN, 1, 0, 1};
  dw_homography map;
  dw_error err;
  assert_int_equal(dw_homography_fit(line, square, &map, &err), DW_BAD_INPUT);
  assert_int_equal(dw_homography_fit(square, line, &map, &err), DW_BAD_INPUT);
  assert_int_equal(dw_homography_fit(square, same, &map, &err), DW_BAD_INPUT);
  assert_int_equal(dw_homography_fit(square, bad, &map, &err), DW_BAD_INPUT);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_curve_is_monotone_and_passes_through),
                                     cmocka_unit_test(test_curve_keeps_a_line),
                                     cmocka_unit_test(test_curve_refuses),
                                     cmocka_unit_test(test_homography_keeps_crossings),
                                     cmocka_unit_test(test_homography_at_large_pixels),
                                     cmocka_unit_test(test_homography_through_many),
                                     cmocka_unit_test(test_homography_refuses)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
