#include "check.h"
#include "dropwise/numeric.h"

/* NIST Statistical Reference Datasets, Longley (J. W. Longley, JASA 62 (1967) 819): y, x1 ... x6. */
static const double longley[16][7] = {
    {60323, 83.0, 234289, 2356, 1590, 107608, 1947},  {61122, 88.5, 259426, 2325, 1456, 108632, 1948},
    {60171, 88.2, 258054, 3682, 1616, 109773, 1949},  {61187, 89.5, 284599, 3351, 1650, 110929, 1950},
    {63221, 96.2, 328975, 2099, 3099, 112075, 1951},  {63639, 98.1, 346999, 1932, 3594, 113270, 1952},
    {64989, 99.0, 365385, 1870, 3547, 115094, 1953},  {63761, 100.0, 363112, 3578, 3350, 116219, 1954},
    {66019, 101.2, 397469, 2904, 3048, 117388, 1955}, {67857, 104.6, 419180, 2822, 2857, 118734, 1956},
    {68169, 108.4, 442769, 2936, 2798, 120445, 1957}, {66513, 110.8, 444546, 4681, 2637, 121950, 1958},
    {68655, 112.6, 482704, 3813, 2552, 123366, 1959}, {69564, 114.2, 502601, 3931, 2514, 125368, 1960},
    {69331, 115.7, 518173, 4806, 2572, 127852, 1961}, {70551, 116.9, 554894, 4007, 2827, 130081, 1962}};
static const double longley_certified[7] = {-3482258.63459582, 15.0618722713733,  -0.0358191792925910,
                                            -2.02022980381683, -1.03322686717359, -0.0511041056535807,
                                            1829.15146461355};

static void test_longley(void **state) {
  (void)state;
  double A[16 * 7], B[16], X[7];
  for (size_t i = 0; i < 16; i++) {
    B[i] = longley[i][0];
    A[i * 7] = 1;
    for (size_t j = 1; j < 7; j++) A[i * 7 + j] = longley[i][j];
  }
  assert_int_equal(dw_least_squares(A, B, 16, 7, 1, X, NULL), DW_OK);
  for (size_t j = 0; j < 7; j++)
    assert_near(X[j] / longley_certified[j], 1, 1e-7); /* the condition number is 5e9 */
}

/* NIST StRD, Wampler1 and Wampler2: degree 5 through x = 0..20; every coefficient 1, or 10^-j, exactly. */
static void test_wampler(void **state) {
  (void)state;
  double A[21 * 6], B[21 * 2], X[6 * 2];
  for (size_t i = 0; i < 21; i++) {
    double power = 1, tenth = 1;
    B[2 * i] = B[2 * i + 1] = 0;
    for (size_t j = 0; j < 6; j++) {
      A[i * 6 + j] = power;
      B[2 * i] += power;
      B[2 * i + 1] += power * tenth;
      power *= (double)i;
      tenth /= 10;
    }
  }
  assert_int_equal(dw_least_squares(A, B, 21, 6, 2, X, NULL), DW_OK);
  for (int j = 0; j < 6; j++) {
    assert_near(X[2 * j], 1, 1e-8);
    assert_near(X[2 * j + 1] * pow(10, j), 1, 1e-7);
  }
}

/* x + y = 2 alone: the point nearest the origin is (1, 1). No rows at all: the origin. */
static void test_minimum_norm(void **state) {
  (void)state;
  const double A[] = {1, 1}, B[] = {2};
  double X[2] = {9, 9};
  assert_int_equal(dw_least_squares(A, B, 1, 2, 1, X, NULL), DW_OK);
  assert_near(X[0], 1, 1e-14);
  assert_near(X[1], 1, 1e-14);
  assert_int_equal(dw_least_squares(A, B, 0, 2, 1, X, NULL), DW_OK);
  assert_true(X[0] == 0 && X[1] == 0);
}

/* One unknown in closed form: x = (a b + r^2 x0) / (a^2 + r^2). */
static void test_ridge(void **state) {
  (void)state;
  const double a = 3, b[2] = {5, -2}, r = 1.5, x0[2] = {0.25, 4};
  double X[2];
  assert_int_equal(dw_ridge(&a, b, 1, 1, 2, &r, x0, X, NULL), DW_OK);
  for (int j = 0; j < 2; j++) assert_near(X[j], (a * b[j] + r * r * x0[j]) / (a * a + r * r), 1e-14);
  assert_int_equal(dw_ridge(&a, b, 1, 1, 2, &r, NULL, X, NULL), DW_OK);
  assert_near(X[0], a * b[0] / (a * a + r * r), 1e-14);
  const double strong = 1e9;
  assert_int_equal(dw_ridge(&a, b, 1, 1, 2, &strong, x0, X, NULL), DW_OK);
  assert_near(X[1], x0[1], 1e-9);
}

static void test_refusals(void **state) {
  (void)state;
  const double A[] = {1, NAN}, B[] = {2};
  double X[2] = {7, 7};
  dw_error err;
  assert_int_equal(dw_least_squares(A, B, 1, 2, 1, X, &err), DW_BAD_INPUT);
  assert_int_equal(dw_least_squares(A, B, SIZE_MAX, 2, 1, X, &err), DW_TOO_LARGE);
  assert_int_equal(dw_least_squares(A, B, 1 << 24, 1 << 10, 1, X, &err), DW_TOO_LARGE);
  assert_true(X[0] == 7 && X[1] == 7 && strlen(err.text) > 20);
  double M[] = {1, 2, 2, 1};
  assert_int_equal(dw_cholesky(M, 2, &err), DW_BAD_INPUT);
  assert_int_equal(dw_cholesky(M, 100000, &err), DW_TOO_LARGE);
  double bad[] = {INFINITY}, value;
  assert_int_equal(dw_symmetric_eigen(bad, 1, &value, &err), DW_BAD_INPUT);
}

/* Golub and Van Loan's kind of check: L L' gives the matrix back, and the solution solves. */
static void cholesky_check(size_t N) {
  enum { N_MAX = 70, RHS = 3 };
  double G[N_MAX * N_MAX], M[N_MAX * N_MAX], L[N_MAX * N_MAX], b[N_MAX * RHS], x[N_MAX * RHS];
  dw_random random = dw_random_seed(3);
  for (size_t i = 0; i < N * N; i++) G[i] = dw_random_normal(&random);
  for (size_t i = 0; i < N; i++)
    for (size_t j = 0; j < N; j++) {
      M[i * N + j] = i == j ? 1 : 0;
      for (size_t k = 0; k < N; k++) M[i * N + j] += G[i * N + k] * G[j * N + k];
    }
  memcpy(L, M, N * N * sizeof *L);
  assert_int_equal(dw_cholesky(L, N, NULL), DW_OK);
  for (size_t i = 0; i < N; i++)
    for (size_t j = 0; j < N; j++) {
      double sum = 0;
      for (size_t k = 0; k < N; k++) sum += L[i * N + k] * L[j * N + k];
      assert_near(sum, M[i * N + j], 1e-12);
      if (j > i) assert_true(L[i * N + j] == 0);
    }
  for (size_t i = 0; i < N * RHS; i++) x[i] = b[i] = dw_random_normal(&random);
  dw_cholesky_solve(L, N, x, RHS);
  for (size_t i = 0; i < N; i++)
    for (size_t j = 0; j < RHS; j++) {
      double sum = 0;
      for (size_t k = 0; k < N; k++) sum += M[i * N + k] * x[k * RHS + j];
      assert_near(sum, b[i * RHS + j], 1e-10);
    }
  double y[N_MAX], z[N_MAX];
  for (size_t i = 0; i < N; i++) y[i] = z[i] = (double)i - 4;
  dw_cholesky_solve_transposed(L, N, y);
  for (size_t i = 0; i < N; i++) {
    double sum = 0;
    for (size_t k = i; k < N; k++) sum += L[k * N + i] * y[k];
    assert_near(sum, z[i], 1e-12);
  }
  for (size_t i = 0; i < N; i++) y[i] = z[i];
  dw_cholesky_solve_lower(L, N, y);
  for (size_t i = 0; i < N; i++) {
    double sum = 0;
    for (size_t k = 0; k <= i; k++) sum += L[i * N + k] * y[k];
    assert_near(sum, z[i], 1e-12);
  }
}

/* Small ones and large ones are factored in two ways. */
static void test_cholesky(void **state) {
  static const size_t orders[] = {1, 2, 12, 48, 49, 70};
  (void)state;
  for (size_t i = 0; i < sizeof orders / sizeof *orders; i++) cholesky_check(orders[i]);
}

/* The second-difference matrix: eigenvalues 2 - 2 cos(k pi / (n + 1)), closed form (Strang). */
static void test_eigen(void **state) {
  (void)state;
  enum { N = 9 };
  double A[N * N] = {0}, M[N * N], values[N];
  for (size_t i = 0; i < N; i++) {
    A[i * N + i] = 2;
    if (i > 0) A[i * N + i - 1] = A[(i - 1) * N + i] = -1;
  }
  memcpy(M, A, sizeof M);
  assert_int_equal(dw_symmetric_eigen(A, N, values, NULL), DW_OK);
  for (size_t k = 0; k < N; k++) {
    assert_near(values[k], 2 - 2 * cos((double)(k + 1) * acos(-1.0) / (N + 1)), 1e-13);
    for (size_t i = 0; i < N; i++) {
      double sum = 0;
      for (size_t j = 0; j < N; j++) sum += M[i * N + j] * A[k * N + j];
      assert_near(sum, values[k] * A[k * N + i], 1e-13);
    }
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_longley),      cmocka_unit_test(test_wampler),
                                     cmocka_unit_test(test_minimum_norm), cmocka_unit_test(test_ridge),
                                     cmocka_unit_test(test_refusals),     cmocka_unit_test(test_cholesky),
                                     cmocka_unit_test(test_eigen)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
