#include "check.h"
#include "dropwise/numeric.h"

/* Hyndman and Fan 1996, type 7, at 1..10: numpy.quantile(range(1, 11), q) gives the same. */
static void test_quantiles(void **state) {
  (void)state;
  double x[10];
  static const double expected[][2] = {{0, 1}, {0.1, 1.9}, {0.25, 3.25}, {0.5, 5.5}, {0.9, 9.1}, {1, 10}};
  for (size_t i = 0; i < 6; i++) {
    for (int j = 0; j < 10; j++) x[j] = (j * 7) % 10 + 1;
    assert_near(dw_quantile(x, 10, expected[i][0]), expected[i][1], 1e-12);
  }
}

static void test_nothing_gives_zero(void **state) {
  (void)state;
  double x[1] = {5};
  float f[1] = {5};
  assert_true(dw_median(x, 0) == 0.0 && dw_median_f(f, 0) == 0.0f && dw_quantile(x, 0, 0.3) == 0.0);
  assert_true(dw_mean(x, 0) == 0.0 && dw_stddev(x, 1) == 0.0 && dw_mad_sigma(x, 0, 1) == 0.0);
  assert_true(dw_median(x, 1) == 5.0 && dw_median_f(f, 1) == 5.0f);
}

static int order(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

/* Against sorting, on random lists of every small length with many ties. */
static void test_selection_agrees_with_sorting(void **state) {
  (void)state;
  dw_random random = dw_random_seed(1);
  for (size_t n = 1; n < 200; n++) {
    double x[200], sorted[200];
    float f[200];
    for (size_t i = 0; i < n; i++) {
      sorted[i] = x[i] = floor(dw_random_uniform(&random) * 20);
      f[i] = (float)x[i];
    }
    qsort(sorted, n, sizeof *sorted, order);
    double middle = (sorted[(n - 1) / 2] + sorted[n / 2]) / 2;
    assert_true(dw_median(x, n) == middle);
    assert_true(dw_median_f(f, n) == (float)middle);
    assert_true(dw_quantile(x, n, 1) == sorted[n - 1]);
  }
}

/* Lists so long that pivots come from a sample, from hardly any ties to many. */
static void test_long_selection_agrees_with_sorting(void **state) {
  (void)state;
  enum { MOST = 5000 };
  static double x[MOST], sorted[MOST];
  static float f[MOST];
  dw_random random = dw_random_seed(2);
  for (size_t n = 100; n < MOST; n += 191) {
    double values = n % 3 ? 1e6 : 30;
    for (size_t i = 0; i < n; i++) {
      sorted[i] = x[i] = floor(dw_random_uniform(&random) * values);
      f[i] = (float)x[i];
    }
    qsort(sorted, n, sizeof *sorted, order);
    double middle = (sorted[(n - 1) / 2] + sorted[n / 2]) / 2;
    assert_true(dw_median(x, n) == middle);
    assert_true(dw_median_f(f, n) == (float)middle);
    assert_true(dw_quantile(x, n, 0) == sorted[0]);
    assert_true(dw_quantile(x, n, 1) == sorted[n - 1]);
  }
}

/* Sorted, reversed, constant and organ-pipe inputs of a million stay quick (the test has a time limit). */
static void test_orders_that_hurt_a_naive_pivot(void **state) {
  (void)state;
  const size_t n = 1000000;
  double *x = malloc(n * sizeof *x);
  assert_non_null(x);
  for (int kind = 0; kind < 4; kind++) {
    for (size_t i = 0; i < n; i++) {
      const double up = (double)i, down = (double)(n - i);
      x[i] = kind == 0 ? up : kind == 1 ? down : kind == 2 ? 3.0 : fmin(up, down);
    }
    double middle = dw_median(x, n);
    const double expected[] = {499999.5, 500000.5, 3.0, 250000.0};
    assert_near(middle, expected[kind], 0.51);
  }
  free(x);
}

/* The sigma of a normal is found again though a fifth of the values lies far off. */
static void test_mad_resists_outliers(void **state) {
  (void)state;
  enum { N = 20000 };
  static double x[N];
  dw_random random = dw_random_seed(7);
  for (size_t i = 0; i < N; i++) x[i] = 10 + 2 * dw_random_normal(&random);
  assert_near(dw_mean(x, N), 10, 0.05);
  assert_near(dw_stddev(x, N), 2, 0.04);
  assert_near(dw_mad_sigma(x, N, 10), 2, 0.06);
}

/* NIST StRD, NumAcc3: 1000000.1 and .2, .3 around 1000000.2; certified deviation 0.1 exactly. */
static void test_deviation_of_nist_numacc3(void **state) {
  (void)state;
  double x[1001];
  x[0] = 1000000.2;
  for (size_t i = 1; i < 1001; i++) x[i] = i % 2 ? 1000000.1 : 1000000.3;
  assert_near(dw_mean(x, 1001), 1000000.2, 1e-9);
  assert_near(dw_stddev(x, 1001), 0.1, 1e-9);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_quantiles),
                                     cmocka_unit_test(test_nothing_gives_zero),
                                     cmocka_unit_test(test_selection_agrees_with_sorting),
                                     cmocka_unit_test(test_long_selection_agrees_with_sorting),
                                     cmocka_unit_test(test_orders_that_hurt_a_naive_pivot),
                                     cmocka_unit_test(test_mad_resists_outliers),
                                     cmocka_unit_test(test_deviation_of_nist_numacc3)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
