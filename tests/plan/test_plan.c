/* The plan: the worked example of docs/plan.md to the drop, and what must hold of every plan. */
#include "check.h"
#include "dropwise/numeric.h"
#include "dropwise/plan.h"

#include <stdio.h>

static dw_shelf *shelf;

static int setup(void **state) {
  (void)state;
  return dw_shelf_starter(&shelf, NULL) == DW_OK ? 0 : 1;
}

static int teardown(void **state) {
  (void)state;
  dw_shelf_free(shelf);
  return 0;
}

static void set_layer(dw_plan_layer *layer, const char *name, double share, const char *loadings) {
  dw_error err = {0};
  *layer = (dw_plan_layer){.share = share, .has_recipe = true};
  dw_copy_text(layer->name, sizeof layer->name, name);
  if (dw_recipe_parse(loadings, shelf, &layer->loadings, &err) != DW_OK) fail_msg("%s", err.text);
}

/* docs/plan.md#a-worked-example */
static dw_plan_job example(void) {
  dw_plan_job job = {.shelf = shelf,
                     .slab = {10, DW_BACKING_GRAY},
                     .n_layers = 3,
                     .n_molds = 1,
                     .baits = 20,
                     .chamber_ml = 60,
                     .cup_ml = 120,
                     .waste = 0.10,
                     .step_ml = 5,
                     .n_additives = 1,
                     .additive = {{.name = "softener", .share = 0.05}}};
  set_layer(&job.layer[0], "back", 0.4, "brown=4;orange=1");
  set_layer(&job.layer[1], "side", 0.2, "orange=5");
  set_layer(&job.layer[2], "belly", 0.4, "white=0.5;blue=1");
  job.layer[2].n_powders = 1;
  job.layer[2].powder[0] = (dw_powder){.name = "flake", .grams_floz = 0.2, .grams_per_teaspoon = 4};
  job.mold[0].mold = (dw_mold){.name = "craw",
                               .cavities = 4,
                               .bait_ml = 9,
                               .runner_ml = 6,
                               .sprue = DW_SIDE_AWAY,
                               .back = DW_SIDE_LEFT};
  return job;
}

static dw_plan make(const dw_plan_job *job) {
  dw_plan plan;
  dw_error err = {0};
  if (dw_plan_make(job, &plan, &err) != DW_OK) fail_msg("%s", err.text);
  return plan;
}

static double drops_of(const dw_plan_cup *cup, const char *id) {
  return dw_recipe_amount(&cup->drops, (size_t)dw_shelf_find(shelf, id));
}

/* ---- by hand
 * ------------------------------------------------------------------------------------------------ */

static void test_worked_example(void **state) {
  (void)state;
  dw_plan_job job = example();
  dw_plan plan = make(&job);
  assert_int_equal(plan.fills[0], 5);
  assert_int_equal(plan.baits, 20);
  assert_near(plan.molds_ml, 210, 1e-9);
  assert_int_equal(plan.loads, 2);
  assert_int_equal(plan.first_load_fills, 3);
  assert_true(plan.enough && plan.reaches_last);
  static const double volumes[] = {95, 50, 95};
  for (size_t i = 0; i < 3; i++) assert_near(plan.cup[i].volume_ml, volumes[i], 1e-9);
  assert_near(plan.total_ml, 240, 1e-9);
  assert_true(drops_of(&plan.cup[0], "brown") == 13 && drops_of(&plan.cup[0], "orange") == 3);
  assert_true(drops_of(&plan.cup[1], "orange") == 8);
  assert_true(drops_of(&plan.cup[2], "white") == 2 && drops_of(&plan.cup[2], "blue") == 3);
  assert_near(plan.cup[0].plastic_ml, 90.476, 0.001);
  assert_near(plan.cup[0].additive_ml[0], 4.524, 0.001);
  assert_near(plan.cup[2].grams[0], 0.642, 0.001);
  assert_near(plan.cup[2].teaspoons[0], 0.161, 0.001);
  /* Sprue away: we look toward ourselves, so left on the bench is right of the injector. */
  assert_int_equal(plan.cup[0].chamber, 3);
  assert_int_equal(plan.cup[1].chamber, 2);
  assert_int_equal(plan.cup[2].chamber, 1);
}

static void test_shopping_list(void **state) {
  (void)state;
  dw_plan_job job = example();
  dw_plan plan = make(&job);
  dw_shopping list;
  job.layer[1].n_powders = 1;
  job.layer[1].powder[0] = (dw_powder){.name = "flake", .grams_floz = 0.1};
  plan = make(&job);
  dw_plan_shopping(&job, &plan, &list);
  assert_near(list.plastic_ml, 240 / 1.05, 1e-9);
  assert_near(list.additive_ml[0], 240 * 0.05 / 1.05, 1e-9);
  assert_true(list.drops[dw_shelf_find(shelf, "orange")] == 11);
  assert_true(list.drops[dw_shelf_find(shelf, "brown")] == 13);
  assert_int_equal(list.n_powders, 1);
  assert_near(list.powder[0].grams, (95 * 0.2 + 50 * 0.1) / DW_ML_PER_FLOZ, 1e-9);
}

/* Two molds of 42 and 30 ml in turn: 25 baits need three rounds of the first (4 cavities) and ... 4, 7, 11,
 * 14, 18, 21, 25: four and three. */
static void test_molds_in_turn(void **state) {
  (void)state;
  dw_plan_job job = example();
  job.n_molds = 2, job.baits = 25;
  job.mold[1].mold = (dw_mold){.name = "small",
                               .cavities = 3,
                               .bait_ml = 8,
                               .runner_ml = 6,
                               .sprue = DW_SIDE_AWAY,
                               .back = DW_SIDE_RIGHT};
  dw_plan plan = make(&job);
  assert_int_equal(plan.fills[0], 4);
  assert_int_equal(plan.fills[1], 3);
  assert_int_equal(plan.baits, 25);
  assert_near(plan.molds_ml, 4 * 42 + 3 * 30, 1e-9);
  /* The second stands the other way round: said, and its own order given. */
  assert_int_equal(plan.chamber[0][0], 2);
  assert_int_equal(plan.chamber[1][0], 0);
  assert_true(plan.notes.n > 0 && strstr(plan.notes.text[0], "other way round"));
}

/* ---- what can't be filled, said before anyone heats a cup
 * ----------------------------------------------------- */

static void test_what_cannot_be_filled(void **state) {
  (void)state;
  dw_plan_job job = example();
  job.chamber_ml = 16; /* a fill takes 16.8 ml from the fullest chamber */
  assert_false(make(&job).enough);
  job.chamber_ml = 16.8;
  assert_true(make(&job).enough);
  assert_int_equal(make(&job).loads, 5);
  job = example();
  job.cup_ml = 95; /* the plastic alone */
  dw_plan plan = make(&job);
  assert_false(plan.enough);
  assert_non_null(strstr(plan.notes.text[0], "back needs"));
}

static void test_first_load_stops_short(void **state) {
  (void)state;
  dw_plan_job job = example();
  job.n_molds = 2, job.baits = 0;
  job.mold[1].mold = (dw_mold){.name = "big",
                               .cavities = 2,
                               .bait_ml = 70,
                               .runner_ml = 10,
                               .sprue = DW_SIDE_AWAY,
                               .back = DW_SIDE_LEFT};
  job.mold[0].fills = job.mold[1].fills = 1;
  job.cup_ml = 0, job.chamber_ml = 65; /* 16.8 and 60 ml from the fullest chamber */
  dw_plan plan = make(&job);
  assert_true(plan.enough);
  assert_false(plan.reaches_last);
  assert_int_equal(plan.loads, 2);
  job.chamber_ml = 77;
  assert_true(make(&job).reaches_last);
}

static void test_refusals(void **state) {
  (void)state;
  enum { N = 9 };
  dw_plan_job bad[N];
  dw_plan plan;
  for (size_t i = 0; i < N; i++) bad[i] = example();
  bad[0].layer[0].share = 0.5;
  bad[1].n_layers = 0;
  bad[2].n_molds = 0;
  bad[3].baits = 0;
  bad[4].waste = -0.1;
  bad[5].additive[0].share = NAN;
  bad[6].mold[0].fills = DW_PLAN_FILLS_MAX + 1;
  bad[7].layer[2].powder[0].teaspoons_floz = 0.1; /* both by weight and by spoon */
  bad[8].mold[0].mold.back = DW_SIDE_AWAY;
  for (size_t i = 0; i < N; i++) assert_int_equal(dw_plan_make(&bad[i], &plan, NULL), DW_BAD_INPUT);
}

/* ---- of every plan
 * ------------------------------------------------------------------------------------------ */

/* Color of the cup with every count of drops moved from the exact one by half a drop up or down, as `corner`
 * says. */
static dw_lab corner_color(const dw_recipe *loadings, double floz, unsigned corner) {
  static const dw_slab slab = {10, DW_BACKING_GRAY};
  dw_recipe moved = *loadings;
  dw_prediction p;
  for (size_t i = 0; i < moved.n; i++)
    moved.part[i].amount = fmax(0, moved.part[i].amount + (corner >> i & 1 ? 0.5 : -0.5) / floz);
  assert_int_equal(dw_predict(shelf, &moved, &slab, &p, NULL), DW_OK);
  return p.lab;
}

/* Scaling moves no bottle by more than half a drop, and the color by no more than half a drop of each can. */
static void test_scaling_moves_color_by_rounding_alone(void **state) {
  (void)state;
  static const dw_slab slab = {10, DW_BACKING_GRAY};
  dw_random random = dw_random_seed(15);
  double worst_large = 0;
  for (int trial = 0; trial < 400; trial++) {
    dw_recipe loadings = {0}, drops;
    const double floz = exp(log(0.5) + dw_random_uniform(&random) * log(200)); /* 0.5 to 100 */
    double rounding, most = 0;
    for (size_t i = 1 + (size_t)(4 * dw_random_uniform(&random)); i > 0; i--)
      dw_recipe_add(&loadings, (size_t)(11 * dw_random_uniform(&random)),
                    0.2 + 6 * dw_random_uniform(&random));
    assert_int_equal(dw_recipe_scale(shelf, &loadings, &slab, floz, &drops, &rounding, NULL), DW_OK);
    for (size_t i = 0; i < loadings.n; i++) {
      const double count = dw_recipe_amount(&drops, loadings.part[i].bottle);
      assert_true(count == floor(count));
      assert_true(fabs(count - loadings.part[i].amount * floz) <= 0.5 + 1e-9);
    }
    dw_prediction exact;
    assert_int_equal(dw_predict(shelf, &loadings, &slab, &exact, NULL), DW_OK);
    for (unsigned corner = 0; corner < 1u << loadings.n; corner++)
      most = fmax(most, dw_de00(exact.lab, corner_color(&loadings, floz, corner)));
    assert_true(rounding <= most + 1e-9);
    if (floz > 30) worst_large = fmax(worst_large, rounding);
  }
  print_message("cups over 30 fl oz: whole drops move the color by at most CIEDE2000 %.2f\n", worst_large);
  assert_true(worst_large < 1);
}

/* Twice the baits never take fewer loads, less plastic or a smaller cup; shares of the cups stay those of the
 * layers. */
static void test_more_baits_take_more(void **state) {
  (void)state;
  dw_plan_job job = example();
  job.step_ml = 0, job.cup_ml = 0;
  for (job.baits = 1; job.baits < 200; job.baits += 7) {
    dw_plan plan = make(&job);
    assert_true(plan.baits >= job.baits && plan.baits < job.baits + 4);
    for (size_t i = 0; i < 3; i++)
      assert_near(plan.cup[i].volume_ml / plan.total_ml, job.layer[i].share, 1e-9);
    assert_near(plan.total_ml, plan.molds_ml * 1.1, 1e-9);
    assert_int_equal(plan.loads, (plan.fills[0] + 2) / 3);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_worked_example),
      cmocka_unit_test(test_shopping_list),
      cmocka_unit_test(test_molds_in_turn),
      cmocka_unit_test(test_what_cannot_be_filled),
      cmocka_unit_test(test_first_load_stops_short),
      cmocka_unit_test(test_refusals),
      cmocka_unit_test(test_scaling_moves_color_by_rounding_alone),
      cmocka_unit_test(test_more_baits_take_more),
  };
  return cmocka_run_group_tests(tests, setup, teardown);
}
