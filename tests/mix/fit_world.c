#include "mix/fit_world.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "check.h"

dw_lab world_lab(sim_lab lab) {
  return (dw_lab){lab.L, lab.a, lab.b};
}

dw_shelf *world_shelf(void) {
  dw_shelf *shelf = NULL;
  dw_error err;
  assert_int_equal(dw_shelf_new(&shelf, &err), DW_OK);
  for (size_t i = 0; i < SIM_BOTTLES; i++) {
    dw_bottle *bottle = &shelf->bottle[shelf->n++];
    memset(bottle, 0, sizeof *bottle);
    snprintf(bottle->id, sizeof bottle->id, "%s", sim_bottle_names[i]);
    snprintf(bottle->title, sizeof bottle->title, "%s", sim_bottle_names[i]);
    bottle->strength = 1, bottle->drop_ml = DW_DROP_ML_DEFAULT;
  }
  return shelf;
}

dw_recipe world_recipe(const double loading[SIM_BOTTLES]) {
  dw_recipe recipe = {0};
  for (size_t i = 0; i < SIM_BOTTLES; i++)
    if (loading[i] > 0) recipe.part[recipe.n++] = (dw_part){i, loading[i]};
  return recipe;
}

/* One let-down over white and over black. */
static size_t letdown(sim_world *world, const world_bench *bench, const double meant[SIM_BOTTLES],
                      dw_chip *chips) {
  static const double backings[2] = {DW_BACKING_WHITE, DW_BACKING_BLACK};
  double put[SIM_BOTTLES], mm = 3 * (1 + bench->thick_share * sim_normal(world));
  sim_drops(world, meant, bench->drop_share, put);
  for (int b = 0; b < 2; b++) {
    sim_lab lab = bench->shots > 0 ? sim_photo(world, put, mm, backings[b], bench->shots)
                                   : sim_color(world, put, mm, backings[b]);
    chips[b] = (dw_chip){
        .recipe = world_recipe(meant), .thickness_mm = 3, .backing = backings[b], .lab = world_lab(lab)};
  }
  return 2;
}

size_t world_chips(sim_world *world, const world_bench *bench, dw_chip chips[WORLD_CHIPS_MAX]) {
  static const double loadings[3] = {0.5, 2, 8};
  const double clear[SIM_BOTTLES] = {0};
  size_t n = letdown(world, bench, clear, chips);
  for (int i = 0; i < SIM_BOTTLES; i++)
    for (int l = 0; l < 3; l++) {
      double meant[SIM_BOTTLES] = {0};
      meant[i] = loadings[l] * (i == SIM_BLACK ? 0.5 : 1);
      n += letdown(world, bench, meant, chips + n);
    }
  for (int i = 0; i < bench->mixtures; i++) {
    double meant[SIM_BOTTLES] = {0};
    meant[i] = 3;
    meant[i < SIM_BROWN ? SIM_BROWN : i == SIM_WHITE ? SIM_BLUE : SIM_WHITE] = 2;
    n += letdown(world, bench, meant, chips + n);
  }
  return n;
}

dw_fit *world_fit(const dw_shelf *shelf, const dw_chip *chips, size_t n, dw_fit_start start) {
  dw_fit *fit = NULL;
  dw_error err = {0};
  if (dw_bottles_fit(shelf, chips, n, start, &fit, &err) != DW_OK) fail_msg("%s", err.text);
  return fit;
}

static int ascending(const void *a, const void *b) {
  double x = *(const double *)a, y = *(const double *)b;
  return (x > y) - (x < y);
}

world_score world_predict(const sim_world *world, const dw_shelf *shelf, int recipes) {
  enum { MOST = 1000 };
  double off[MOST];
  sim_world copy = *world;
  world_score score = {0};
  const dw_slab slab = {10, DW_BACKING_GRAY};
  assert_true(recipes > 0 && recipes <= MOST);
  for (int i = 0; i < recipes; i++) {
    double loading[SIM_BOTTLES];
    dw_prediction predicted;
    dw_error err;
    sim_recipe(&copy, loading);
    dw_recipe recipe = world_recipe(loading);
    assert_int_equal(dw_predict(shelf, &recipe, &slab, &predicted, &err), DW_OK);
    off[i] = dw_de00(predicted.lab, world_lab(sim_color(&copy, loading, slab.thickness_mm, slab.backing)));
    score.mean += off[i] / recipes;
    score.within_1sd += (off[i] <= predicted.uncertainty_de00) / (double)recipes;
    score.within_2sd += (off[i] <= 2 * predicted.uncertainty_de00) / (double)recipes;
  }
  qsort(off, (size_t)recipes, sizeof *off, ascending);
  score.p95 = off[(size_t)(0.95 * (recipes - 1))];
  return score;
}
