/* The fit of 9 bottles and 75 chips, timed; `bench_fit dump` prints the same problem for bench_fit.py. */
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "check.h"
#include "mix/fit_world.h"

enum { CHIPS = 75, RUNS = 12 };

static void chips_fill(dw_chip chips[WORLD_CHIPS_MAX]) {
  sim_world world;
  const double clear[SIM_BOTTLES] = {0};
  sim_world_make(&world, 1);
  size_t n = world_chips(
      &world, &(world_bench){.shots = 3, .drop_share = 0.03, .thick_share = 0.05, .mixtures = 9}, chips);
  assert_int_equal(n, CHIPS - 1);
  chips[n] = (dw_chip){.thickness_mm = 3,
                       .backing = DW_BACKING_GRAY,
                       .lab = world_lab(sim_photo(&world, clear, 3, DW_BACKING_GRAY, 3))};
}

static void dump(const dw_chip *chips) {
  printf("{\"bottles\": %d, \"bands\": [", SIM_BOTTLES);
  for (size_t i = 0; i < DW_BANDS; i++)
    printf("%s[%.17g, %.17g, %.17g, %.17g]", i ? ", " : "", dw_band_nm(i), dw_band_xyz[i][0],
           dw_band_xyz[i][1], dw_band_xyz[i][2]);
  printf("], \"chips\": [");
  for (size_t i = 0; i < CHIPS; i++) {
    double metric[9];
    const dw_chip *chip = &chips[i];
    dw_de00_metric(chip->lab, metric);
    printf("%s{\"recipe\": [", i ? ", " : "");
    for (size_t p = 0; p < chip->recipe.n; p++)
      printf("%s[%zu, %.17g]", p ? ", " : "", chip->recipe.part[p].bottle, chip->recipe.part[p].amount);
    printf("], \"mm\": %.17g, \"backing\": %.17g, \"lab\": [%.17g, %.17g, %.17g], \"metric\": [",
           chip->thickness_mm, chip->backing, chip->lab.L, chip->lab.a, chip->lab.b);
    for (int j = 0; j < 9; j++) printf("%s%.17g", j ? ", " : "", metric[j]);
    printf("]}");
  }
  printf("]}\n");
}

static double clock_ms(clockid_t clock) {
  struct timespec t;
  clock_gettime(clock, &t);
  return 1e3 * (double)t.tv_sec + 1e-6 * (double)t.tv_nsec;
}

/* Least of several runs: what the work takes when the machine is not busy elsewhere. */
static void run(const dw_chip *chips) {
  double wall = INFINITY, cpu = INFINITY, mean = 0;
  dw_shelf *shelf = world_shelf();
  for (int i = 0; i < RUNS; i++) {
    double wall0 = clock_ms(CLOCK_MONOTONIC), cpu0 = clock_ms(CLOCK_PROCESS_CPUTIME_ID);
    dw_fit *fit = world_fit(shelf, chips, CHIPS, DW_FIT_FRESH);
    cpu = fmin(cpu, clock_ms(CLOCK_PROCESS_CPUTIME_ID) - cpu0);
    wall = fmin(wall, clock_ms(CLOCK_MONOTONIC) - wall0);
    mean = fit->mean_de00;
    dw_fit_free(fit);
  }
  dw_shelf_free(shelf);
  printf("{\"wall_ms\": %.2f, \"cpu_ms\": %.2f, \"mean_de00\": %.4f}\n", wall, cpu, mean);
}

int main(int argc, char **argv) {
  dw_chip chips[WORLD_CHIPS_MAX];
  chips_fill(chips);
  if (argc > 1 && strcmp(argv[1], "dump") == 0)
    dump(chips);
  else
    run(chips);
  return 0;
}
