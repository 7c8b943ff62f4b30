/* What blends must show against the simulator's truth, which mixes its own spectra by volume. Prints its
 * figures. */
#include <stdio.h>

#include "check.h"
#include "dropwise/plan_blend.h"
#include "mix/fit_world.h"

enum { WORLDS = 3, PAIRS = 60 };

static const dw_slab slab = {10, DW_BACKING_GRAY};

typedef struct figures {
  double mean, worst, within_1sd, within_2sd;
} figures;

static dw_lab truth(const sim_world *world, const double a[SIM_BOTTLES], const double b[SIM_BOTTLES],
                    double share) {
  double mixed[SIM_BOTTLES];
  for (int i = 0; i < SIM_BOTTLES; i++) mixed[i] = (1 - share) * a[i] + share * b[i];
  return world_lab(sim_color(world, mixed, slab.thickness_mm, slab.backing));
}

/* How the two layers of a pair are known. */
typedef enum known { BY_DROPS, BY_DROPS_MEASURED, BY_COLOR } known;

static dw_blend_layer layer_of(const sim_world *world, const dw_shelf *shelf,
                               const double loading[SIM_BOTTLES], known how) {
  const dw_lab color = truth(world, loading, loading, 0);
  dw_cup cup = {.drops = world_recipe(loading), .volume_floz = 1, .capacity_floz = 2};
  dw_blend_layer layer = {.name = "layer"};
  dw_error err = {0};
  dw_status status = how == BY_COLOR
                         ? dw_blend_color(shelf, &slab, color, &layer, &err)
                         : dw_blend_cup(shelf, &slab, &cup, how == BY_DROPS ? NULL : &color, &layer, &err);
  if (status != DW_OK) fail_msg("%s", err.text);
  return layer;
}

static void add_pair(sim_world *world, const dw_shelf *shelf, known how, figures *f) {
  const double weight = 1.0 / (WORLDS * PAIRS * DW_BLEND_STEPS);
  double a[SIM_BOTTLES], b[SIM_BOTTLES];
  dw_blend blend;
  dw_error err = {0};
  sim_recipe(world, a);
  sim_recipe(world, b);
  dw_blend_layer first = layer_of(world, shelf, a, how), second = layer_of(world, shelf, b, how);
  if (dw_blend_between(shelf, &slab, &first, &second, &blend, &err) != DW_OK) fail_msg("%s", err.text);
  for (int i = 0; i < DW_BLEND_STEPS; i++) {
    const double off = dw_de00(blend.step[i].lab, truth(world, a, b, dw_blend_shares[i]));
    f->mean += weight * off;
    f->worst = fmax(f->worst, off);
    f->within_1sd += weight * (off <= blend.step[i].uncertainty_de00);
    f->within_2sd += weight * (off <= 2 * blend.step[i].uncertainty_de00);
  }
}

static figures figures_of(const char *name, known how) {
  figures f = {0};
  for (uint64_t seed = 1; seed <= WORLDS; seed++) {
    sim_world world;
    dw_chip chips[WORLD_CHIPS_MAX];
    dw_shelf *shelf = world_shelf();
    sim_world_make(&world, seed);
    size_t n = world_chips(&world, &(world_bench){0}, chips);
    dw_fit *fit = world_fit(shelf, chips, n, DW_FIT_FRESH);
    for (int i = 0; i < PAIRS; i++) add_pair(&world, fit->shelf, how, &f);
    dw_fit_free(fit);
    dw_shelf_free(shelf);
  }
  printf("%-24s mean %.2f, worst %.2f, within its doubt %.0f%%, within twice %.0f%%\n", name, f.mean, f.worst,
         100 * f.within_1sd, 100 * f.within_2sd);
  return f;
}

/* The requirement: bottles fitted from noise-free chips, blends within CIEDE2000 1.5 in the mean. */
static void test_from_drops(void **state) {
  (void)state;
  assert_true(figures_of("from drops", BY_DROPS).mean <= 1.5);
}

static void test_from_measured_cups(void **state) {
  (void)state;
  assert_true(figures_of("from measured cups", BY_DROPS_MEASURED).mean <= 1.5);
}

/* Colors alone: no figure is required; the stated doubt must hold. A normal's doubt holds 68% and 95%. */
static void test_from_colors(void **state) {
  (void)state;
  figures f = figures_of("from colors alone", BY_COLOR);
  assert_true(f.within_1sd >= 0.60);
  assert_true(f.within_2sd >= 0.90);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_from_drops),
      cmocka_unit_test(test_from_measured_cups),
      cmocka_unit_test(test_from_colors),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
