/* What the fit must show: predictions from chips against the simulator's truth. Prints its figures. */
#include <stdio.h>

#include "check.h"
#include "mix/fit_world.h"

enum { WORLDS = 4, RECIPES = 200 };

typedef struct figures {
  world_score score; /* means over worlds */
  double k2_off, gap_off;
} figures;

static figures figures_of(const char *name, const world_bench *bench, double k2, double gap) {
  figures f = {0};
  dw_shelf *shelf = world_shelf();
  for (uint64_t seed = 1; seed <= WORLDS; seed++) {
    sim_world world;
    dw_chip chips[WORLD_CHIPS_MAX];
    sim_world_make(&world, seed);
    world.k2 = k2, world.chip_gap = gap;
    size_t n = world_chips(&world, bench, chips);
    dw_fit *fit = world_fit(shelf, chips, n, DW_FIT_FRESH);
    world_score score = world_predict(&world, fit->shelf, RECIPES);
    f.score.mean += score.mean / WORLDS, f.score.p95 += score.p95 / WORLDS;
    f.score.within_1sd += score.within_1sd / WORLDS, f.score.within_2sd += score.within_2sd / WORLDS;
    f.k2_off = fmax(f.k2_off, fabs(fit->shelf->surface.k2 - k2));
    f.gap_off = fmax(f.gap_off, fabs(fit->shelf->surface.gap - gap));
    dw_fit_free(fit);
  }
  dw_shelf_free(shelf);
  printf("%-44s mean %.2f, 95th percentile %.2f, within its uncertainty %.0f%%, within twice %.0f%%, k2 off "
         "%.3f, gap off %.3f\n",
         name, f.score.mean, f.score.p95, 100 * f.score.within_1sd, 100 * f.score.within_2sd, f.k2_off,
         f.gap_off);
  return f;
}

/* Thresholds: the project's requirements for fit and prediction. */
static void test_perfect_chips(void **state) {
  (void)state;
  figures f = figures_of("perfect chips, 3% drop noise", &(world_bench){.drop_share = 0.03}, 0.60, 0);
  assert_true(f.score.mean <= 0.9);
  assert_true(f.score.p95 <= 2.2);
}

static void test_gap_and_surface_found(void **state) {
  (void)state;
  figures f = figures_of("air gap 0.6, k2 0.45", &(world_bench){.drop_share = 0.03}, 0.45, 0.6);
  assert_true(f.k2_off <= 0.03);
  assert_true(f.gap_off <= 0.05);
  assert_true(f.score.mean <= 2.5);
}

static void test_gap_through_camera(void **state) {
  (void)state;
  figures f = figures_of("air gap 0.6, k2 0.45, through a camera",
                         &(world_bench){.shots = 3, .drop_share = 0.03, .thick_share = 0.05}, 0.45, 0.6);
  assert_true(f.score.mean <= 2.5);
}

/* A standard deviation should hold 68%, two 95% of a normal's errors; too wide is the safer side. */
static void test_uncertainty_honest(void **state) {
  (void)state;
  figures f =
      figures_of("through a camera, thickness within 5%",
                 &(world_bench){.shots = 3, .drop_share = 0.03, .thick_share = 0.05, .mixtures = 9}, 0.60, 0);
  assert_true(f.score.mean <= 2.0);
  assert_true(f.score.within_1sd >= 0.60 && f.score.within_1sd <= 0.90);
  assert_true(f.score.within_2sd >= 0.93);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_perfect_chips),
      cmocka_unit_test(test_gap_and_surface_found),
      cmocka_unit_test(test_gap_through_camera),
      cmocka_unit_test(test_uncertainty_honest),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
