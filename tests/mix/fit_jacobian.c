/* The fit's derivatives against central differences, and its basis against the covariance it stands for. */
#include <stdio.h>

#include "check.h"
#include "mix/fit_model.h"
#include "mix/fit_world.h"

static void chip_compare(const dw__problem *problem, const dw__fit_chip *chip, dw__point *point) {
  size_t stride = chip->n * problem->per_material + DW__SURFACE_UNKNOWNS;
  double *J = calloc(3 * stride, sizeof *J), r[3], low[3], high[3];
  assert_non_null(J);
  dw__spectra_fill(problem, point);
  dw__chip_residual(problem, chip, point, r, J);
  for (size_t j = 0; j < stride; j++) {
    size_t at =
        j < stride - DW__SURFACE_UNKNOWNS
            ? chip->material[j / problem->per_material] * problem->per_material + j % problem->per_material
            : problem->n_unknowns - (stride - j);
    double keep = point->x[at], h = 1e-5;
    point->x[at] = keep - h;
    dw__spectra_fill(problem, point), dw__chip_residual(problem, chip, point, low, NULL);
    point->x[at] = keep + h;
    dw__spectra_fill(problem, point), dw__chip_residual(problem, chip, point, high, NULL);
    point->x[at] = keep;
    for (size_t k = 0; k < 3; k++) {
      double difference = (high[k] - low[k]) / (2 * h);
      assert_near(J[k * stride + j], difference, 1e-5 * (1 + fabs(difference)));
    }
  }
  free(J);
}

static void test_derivatives(void **state) {
  (void)state;
  sim_world world;
  dw_chip chips[WORLD_CHIPS_MAX];
  dw__problem problem;
  dw__point point;
  dw_error err;
  dw_shelf *shelf = world_shelf();
  sim_world_make(&world, 5);
  size_t n = world_chips(&world, &(world_bench){.drop_share = 0.03, .mixtures = 9}, chips);
  assert_int_equal(dw__problem_make(shelf, chips, n, &problem, &err), DW_OK);
  assert_int_equal(dw__point_new(&problem, &point, &err), DW_OK);
  for (size_t i = 0; i < problem.n_unknowns; i++) point.x[i] = 0.5 * sim_normal(&world);
  point.x[problem.n_unknowns - 2] = 0.52, point.x[problem.n_unknowns - 1] = 0.37;
  for (size_t i = 0; i < n; i += 3) chip_compare(&problem, &problem.chip[i], &point);
  dw__point_free(&point);
  dw__problem_free(&problem);
  dw_shelf_free(shelf);
}

/* B B' is the covariance, up to the eigenvalues left out (1e-4 of the largest). */
static void test_basis(void **state) {
  (void)state;
  dw__basis basis;
  dw_error err;
  assert_int_equal(dw__basis_make(1.5, 1.5, 30, &basis, &err), DW_OK);
  for (size_t i = 0; i < DW_BANDS; i++)
    for (size_t j = 0; j < DW_BANDS; j++) {
      double apart = (dw_band_nm(i) - dw_band_nm(j)) / 30, sum = 0;
      for (size_t k = 0; k < basis.rank; k++) sum += basis.b[i][k] * basis.b[j][k];
      assert_near(sum, 2.25 + 2.25 * exp(-apart * apart / 2), 0.02);
    }
}

static void test_projection(void **state) {
  (void)state;
  dw__basis basis;
  dw_error err;
  double u[DW_BANDS], back[DW_BANDS], curve[DW_BANDS] = {0};
  assert_int_equal(dw__basis_make(1.2, 1.0, 80, &basis, &err), DW_OK);
  for (size_t k = 0; k < basis.rank; k++) {
    u[k] = sin(1.0 + (double)k);
    for (size_t i = 0; i < DW_BANDS; i++) curve[i] += basis.b[i][k] * u[k];
  }
  dw__basis_project(&basis, curve, back);
  for (size_t k = 0; k < basis.rank; k++) assert_near(back[k], u[k], 1e-9);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_derivatives),
      cmocka_unit_test(test_basis),
      cmocka_unit_test(test_projection),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
