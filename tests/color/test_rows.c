#include "check.h"
#include "dropwise/color.h"
#include "dropwise/numeric.h"

enum { N = 40001 }; /* no multiple of any block */
static float rows[3 * N], more[3 * N], out[3 * N];

static dw_lab lab_at(const float *p) {
  return (dw_lab){p[0], p[1], p[2]};
}

/* Within 1e-4 of the double reference: dark, bright, over white, and below zero. */
static void test_lab_rows(void **state) {
  (void)state;
  dw_random random = dw_random_seed(6);
  for (size_t i = 0; i < 3 * N; i++) {
    const double u = dw_random_uniform(&random);
    rows[i] = (float)(i % 9 == 0 ? u * 0.02 - 0.005 : i % 7 == 0 ? 4 * u : u);
  }
  dw_lab_from_xyz_rows(rows, N, out);
  double worst = 0;
  for (size_t i = 0; i < N; i++) {
    const float *p = rows + 3 * i;
    const dw_lab lab = dw_lab_from_xyz((dw_xyz){p[0], p[1], p[2]});
    worst = fmax(worst, fmax(fabs(out[3 * i] - lab.L),
                             fmax(fabs(out[3 * i + 1] - lab.a), fabs(out[3 * i + 2] - lab.b))));
  }
  print_message("largest departure of the float rows in Lab: %.2g\n", worst);
  assert_true(worst < 1e-4);
  dw_lab_from_xyz_rows(rows, N, rows);
  assert_memory_equal(rows, out, sizeof rows);
}

static void test_cube_root_over_all_exponents(void **state) {
  (void)state;
  for (int e = -20; e < 20; e++) {
    float xyz[3] = {0, (float)ldexp(1.2345, e), 0}, lab[3];
    dw_lab_from_xyz_rows(xyz, 1, lab);
    const double exact = dw_lab_from_xyz((dw_xyz){0, xyz[1], 0}).L;
    assert_near(lab[0], exact, 1e-7 * fmax(1, fabs(exact)) + 4e-6);
  }
  float bad[3] = {NAN, 0.5f, 0.5f}, lab[3];
  dw_lab_from_xyz_rows(bad, 1, lab);
  assert_true(isnan(lab[1]) && isfinite(lab[2]));
}

/* Against the double reference, for light that photos hold and beyond. */
static void test_lab_planes(void **state) {
  (void)state;
  dw_random random = dw_random_seed(14);
  double worst = 0;
  for (size_t i = 0; i < 3 * N; i++) {
    double u = dw_random_uniform(&random);
    rows[i] = more[i] = (float)(i % 11 == 0 ? 0 : i % 9 < 3 ? u * 0.02 : i % 7 == 0 ? 4 * u : u);
  }
  dw_lab_from_linear_planes((float *const[3]){rows, rows + N, rows + 2 * N}, N);
  for (size_t i = 0; i < N; i++) {
    const double rgb[3] = {(double)more[i], (double)more[N + i], (double)more[2 * N + i]};
    const dw_lab exact = dw_lab_from_xyz(dw_xyz_from_linear(rgb));
    worst = fmax(worst, fabs((double)rows[i] - exact.L));
    worst = fmax(worst, fmax(fabs((double)rows[N + i] - exact.a), fabs((double)rows[2 * N + i] - exact.b)));
  }
  print_message("largest departure of the float planes in Lab: %.2g\n", worst);
  assert_true(worst < 1e-3);
}

static void test_difference_rows(void **state) {
  (void)state;
  dw_random random = dw_random_seed(8);
  for (size_t i = 0; i < 3 * N; i++) {
    rows[i] = (float)(100 * dw_random_uniform(&random) - (i % 3 ? 50 : 0));
    more[i] = (float)(rows[i] + 10 * dw_random_normal(&random));
  }
  dw_de00_rows(rows, more, N, out);
  for (size_t i = 0; i < N; i++) {
    const double exact = dw_de00(lab_at(rows + 3 * i), lab_at(more + 3 * i));
    assert_near(out[i], exact, 1e-4);
  }
}

static void test_xyz_rows(void **state) {
  (void)state;
  dw_random random = dw_random_seed(10);
  for (size_t i = 0; i < 3 * N; i++) rows[i] = (float)(2 * dw_random_uniform(&random) - 0.5);
  dw_xyz_from_linear_rows(rows, N, out);
  for (size_t i = 0; i < N; i++) {
    const double rgb[3] = {rows[3 * i], rows[3 * i + 1], rows[3 * i + 2]};
    const dw_xyz xyz = dw_xyz_from_linear(rgb);
    assert_near(out[3 * i], xyz.X, 3e-7);
    assert_near(out[3 * i + 1], xyz.Y, 3e-7);
    assert_near(out[3 * i + 2], xyz.Z, 3e-7);
  }
  dw_xyz_from_linear_rows(rows, N, rows);
  assert_memory_equal(rows, out, sizeof rows);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_lab_rows),
                                     cmocka_unit_test(test_cube_root_over_all_exponents),
                                     cmocka_unit_test(test_lab_planes),
                                     cmocka_unit_test(test_difference_rows), cmocka_unit_test(test_xyz_rows)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
