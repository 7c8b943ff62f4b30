#include "check.h"
#include "dropwise/numeric.h"

/* NIST/SEMATECH e-Handbook, 1.3.6.7.2, critical values of Student's t, printed to 3 decimals: the tail at
 * half a digit on either side must enclose the stated one. Columns: freedom, two-sided 0.05, two-sided 0.01.
 */
static const double t_table[][3] = {{1, 12.706, 63.657}, {2, 4.303, 9.925},  {3, 3.182, 5.841},
                                    {5, 2.571, 4.032},   {10, 2.228, 3.169}, {20, 2.086, 2.845},
                                    {30, 2.042, 2.750},  {60, 2.000, 2.660}, {100, 1.984, 2.626}};

static void test_student_table(void **state) {
  (void)state;
  const double levels[2] = {0.05, 0.01};
  for (size_t i = 0; i < sizeof t_table / sizeof *t_table; i++) {
    for (int k = 0; k < 2; k++) {
      double t = t_table[i][k + 1], v = t_table[i][0];
      assert_true(dw_student_t_two_sided(t - 0.0005001, v) > levels[k]);
      assert_true(dw_student_t_two_sided(t + 0.0005001, v) < levels[k]);
    }
  }
}

/* Closed forms: v = 1 is Cauchy, 1 - 2/pi atan t; v = 2 is 1 - t / sqrt(2 + t^2); infinite is normal. */
static void test_student_closed_forms(void **state) {
  (void)state;
  for (double t = -30; t <= 30; t += 0.37) {
    double size = fabs(t);
    assert_near(dw_student_t_two_sided(t, 1), 1 - 2 / acos(-1.0) * atan(size), 1e-13);
    assert_near(dw_student_t_two_sided(t, 2), 1 - size / sqrt(2 + t * t), 1e-13);
    assert_near(dw_student_t_two_sided(t, 1e9), erfc(size / sqrt(2.0)), 1e-8);
    assert_near(dw_student_t_two_sided(t, INFINITY), erfc(size / sqrt(2.0)), 1e-15);
  }
  assert_true(dw_student_t_two_sided(0, 4) == 1.0 && dw_student_t_two_sided(INFINITY, 4) == 0.0);
  assert_true(isnan(dw_student_t_two_sided(1, 0)) && isnan(dw_student_t_two_sided(NAN, 3)));
}

/* The usual textbook example of ten pairs of IQ and hours of television (Wikipedia, Spearman's rank
 * correlation coefficient): rho = -29/165, p = 0.627188. */
static void test_spearman_example(void **state) {
  (void)state;
  const double iq[] = {106, 100, 86, 101, 99, 103, 97, 113, 112, 110};
  const double hours[] = {7, 27, 2, 50, 28, 29, 20, 12, 6, 17};
  double rho, p;
  assert_int_equal(dw_rank_correlation(iq, hours, 10, &rho, &p, NULL), DW_OK);
  assert_near(rho, -29.0 / 165, 1e-14);
  assert_near(p, 0.627188, 5e-7);
}

static void test_spearman_edges(void **state) {
  (void)state;
  const double up[] = {1, 2, 4, 8}, down[] = {0, -1, -1e9, -INFINITY}, flat[] = {3, 3, 3, 3};
  double rho = 5, p = 5;
  dw_error err;
  assert_int_equal(dw_rank_correlation(up, up, 4, &rho, &p, &err), DW_OK);
  assert_true(rho == 1.0 && p == 0.0);
  assert_int_equal(dw_rank_correlation(up, down, 4, &rho, &p, &err), DW_OK);
  assert_true(rho == -1.0 && p == 0.0);
  assert_int_equal(dw_rank_correlation(up, flat, 4, &rho, &p, &err), DW_BAD_INPUT);
  assert_int_equal(dw_rank_correlation(up, up, 2, &rho, &p, &err), DW_TOO_FEW);
}

/* How many of the intervals hold the correlation of the distribution: that of normal pairs with Pearson's r is
 * 6/pi asin(r/2) (Pearson 1907, as in Kendall and Gibbons, Rank Correlation Methods, 1990). */
static double interval_coverage(double pearson, size_t n, dw_random *random) {
  enum { DRAWS = 4000, MOST = 40 };
  const double truth = 6 / acos(-1.0) * asin(pearson / 2);
  int held = 0;
  for (int draw = 0; draw < DRAWS; draw++) {
    double x[MOST], y[MOST], rho, p, low, high;
    for (size_t i = 0; i < n; i++) {
      x[i] = dw_random_normal(random);
      y[i] = pearson * x[i] + sqrt(1 - pearson * pearson) * dw_random_normal(random);
    }
    assert_int_equal(dw_rank_correlation(x, y, n, &rho, &p, NULL), DW_OK);
    dw_rank_correlation_interval(rho, n, &low, &high);
    assert_true(-1 <= low && low <= rho && rho <= high && high <= 1);
    held += low <= truth && truth <= high;
  }
  return (double)held / DRAWS;
}

static void test_spearman_interval_holds_the_truth(void **state) {
  (void)state;
  static const double pearson[] = {0, 0.4, 0.8};
  static const size_t n[] = {8, 15, 40};
  dw_random random = dw_random_seed(15);
  for (size_t i = 0; i < 3; i++)
    for (size_t k = 0; k < 3; k++) {
      const double share = interval_coverage(pearson[i], n[k], &random);
      if (share < 0.935 || share > 0.985) fail_msg("r %.1f, n %zu: %.3f of 0.95", pearson[i], n[k], share);
    }
}

/* O'Neill's pcg32-demo: the first six outputs of seed 42, stream 54. Two make one of our 53-bit numbers. */
static void test_random_is_pcg32(void **state) {
  (void)state;
  const uint32_t published[6] = {0xa15c02b7, 0x7b47f409, 0xba1d3330, 0x83d2f293, 0xbfa4784b, 0xcbed606e};
  dw_random random = dw_random_seed(42);
  for (int i = 0; i < 6; i += 2) {
    double high = published[i] >> 5, low = published[i + 1] >> 6;
    assert_true(dw_random_uniform(&random) == ldexp(high, -27) + ldexp(low, -53));
  }
}

static void test_random_normal_moments(void **state) {
  (void)state;
  const int n = 400000;
  double sums[4] = {0};
  dw_random random = dw_random_seed(2);
  for (int i = 0; i < n; i++) {
    double x = dw_random_normal(&random), power = 1;
    for (int k = 0; k < 4; k++) sums[k] += (power *= x);
  }
  const double expected[4] = {0, 1, 0, 3}, room[4] = {0.008, 0.012, 0.03, 0.08}; /* 5 standard errors */
  for (int k = 0; k < 4; k++) assert_near(sums[k] / n, expected[k], room[k]);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_student_table),
                                     cmocka_unit_test(test_student_closed_forms),
                                     cmocka_unit_test(test_spearman_example),
                                     cmocka_unit_test(test_spearman_edges),
                                     cmocka_unit_test(test_spearman_interval_holds_the_truth),
                                     cmocka_unit_test(test_random_is_pcg32),
                                     cmocka_unit_test(test_random_normal_moments)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
