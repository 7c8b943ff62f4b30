/* Molds: units, the order of the chambers, what was learned from what was left over. */
#include "check.h"
#include "dropwise/plan.h"

#include <stdio.h>

static dw_mold mold_of(dw_side sprue, dw_side back) {
  return (dw_mold){.name = "craw", .cavities = 4, .bait_ml = 9, .runner_ml = 6, .sprue = sprue, .back = back};
}

/* ---- units ------------------------------------------------------------------------------------------------
 */

/* NIST Handbook 44 (2023), appendix C: a gallon is 231 cubic inches and 128 fluid ounces, an inch 2.54 cm, a
 * tablespoon half a fluid ounce and three teaspoons, all exactly. */
static void test_units(void **state) {
  (void)state;
  const double gallon_ml = 231 * 2.54 * 2.54 * 2.54;
  double ml;
  assert_near(gallon_ml, 3785.411784, 1e-9);
  assert_int_equal(dw_volume_parse("1 floz", DW_UNITS_METRIC, 0, &ml, NULL), DW_OK);
  assert_near(ml, gallon_ml / 128, 1e-12);
  assert_near(DW_ML_PER_TEASPOON, gallon_ml / 128 / 2 / 3, 1e-12);
  assert_int_equal(dw_volume_parse("2", DW_UNITS_US, 0, &ml, NULL), DW_OK);
  assert_near(ml, gallon_ml / 64, 1e-12);
  assert_int_equal(dw_volume_parse("2", DW_UNITS_METRIC, 0, &ml, NULL), DW_OK);
  assert_near(ml, 2, 1e-12);
  assert_int_equal(dw_volume_parse("12 g", DW_UNITS_US, 1.02, &ml, NULL), DW_OK);
  assert_near(ml, 12 / 1.02, 1e-12);
}

static void test_units_refused(void **state) {
  (void)state;
  static const char *const bad[] = {"", "g", "12g", "0 ml", "-3ml", "12 mlx", "nan", "4 oz"};
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
    double ml = 7;
    dw_error err = {0};
    assert_int_equal(dw_volume_parse(bad[i], DW_UNITS_US, 0, &ml, &err), DW_USAGE);
    assert_true(ml == 7 && err.text[0]);
  }
}

/* ---- which cup goes into which chamber
 * ---------------------------------------------------------------------- */

typedef struct vector {
  double x, y;
} vector;

/* The bench from above, the person at its lower edge. */
static vector toward(dw_side side) {
  static const vector of[] = {{0, -1}, {0, 1}, {-1, 0}, {1, 0}};
  return of[side];
}

/* Lays every stream beside the others where its chamber puts it, and asks how far toward the back it runs:
 * the order must be that of the layers. */
static void check_order(dw_side sprue, dw_side back, size_t n) {
  dw_mold mold = mold_of(sprue, back);
  size_t layer[DW_PLAN_LAYERS_MAX];
  double backward[DW_PLAN_LAYERS_MAX];
  dw_error err = {0};
  if (dw_mold_chambers(&mold, n, layer, &err) != DW_OK) fail_msg("%s", err.text);
  const vector into = {-toward(sprue).x, -toward(sprue).y},
               left = {-into.y, into.x}; /* a quarter turn to the left */
  for (size_t chamber = 0; chamber < n; chamber++) {
    const double at = ((double)n - 1) / 2 - (double)chamber; /* to the left of the middle */
    backward[layer[chamber]] = at * (left.x * toward(back).x + left.y * toward(back).y);
  }
  for (size_t i = 0; i + 1 < n; i++) assert_true(backward[i] > backward[i + 1]);
}

static void test_back_ends_up_on_the_back(void **state) {
  (void)state;
  int ways = 0, refused = 0;
  for (int sprue = 0; sprue < 4; sprue++)
    for (int back = 0; back < 4; back++) {
      dw_mold mold = mold_of((dw_side)sprue, (dw_side)back);
      const vector s = toward(mold.sprue), b = toward(mold.back);
      dw_error err = {0};
      if (s.x * b.x + s.y * b.y != 0) { /* along the stream */
        assert_int_equal(dw_mold_check(&mold, &err), DW_BAD_INPUT);
        assert_non_null(strstr(err.text, dw_side_name(mold.sprue)));
        refused++;
        continue;
      }
      for (size_t n = 2; n <= DW_PLAN_LAYERS_MAX; n++) check_order(mold.sprue, mold.back, n);
      ways++;
    }
  assert_int_equal(ways, 8);
  assert_int_equal(refused, 8);
}

static void test_side_names(void **state) {
  (void)state;
  dw_side side;
  for (int i = 0; i < 4; i++) {
    assert_true(dw_side_find(dw_side_name((dw_side)i), &side));
    assert_int_equal(side, i);
  }
  assert_false(dw_side_find("up", &side));
}

static void test_mold_refused(void **state) {
  (void)state;
  const dw_mold good = mold_of(DW_SIDE_TOWARD, DW_SIDE_LEFT);
  dw_mold bad[5];
  for (size_t i = 0; i < 5; i++) bad[i] = good;
  bad[0].cavities = 0;
  bad[1].bait_ml = 0;
  bad[2].bait_ml = NAN;
  bad[3].runner_ml = -1;
  bad[4].cavities = DW_MOLD_CAVITIES_MAX + 1;
  assert_int_equal(dw_mold_check(&good, NULL), DW_OK);
  for (size_t i = 0; i < 5; i++) assert_int_equal(dw_mold_check(&bad[i], NULL), DW_BAD_INPUT);
}

/* ---- what was left over
 * ------------------------------------------------------------------------------------- */

/* docs/plan.md, by hand: 250 ml less 82 ml in 4 fills is 42 ml a fill, less 6 ml of runner 9 ml a bait. */
static void test_learned_from_one(void **state) {
  (void)state;
  const dw_mold mold = mold_of(DW_SIDE_TOWARD, DW_SIDE_LEFT);
  const dw_mold_record record = {250, 82, 4};
  dw_mold_learned learned;
  assert_int_equal(dw_mold_learn(&mold, &record, 1, &learned, NULL), DW_OK);
  assert_near(learned.fill_ml, 42, 1e-12);
  assert_near(learned.bait_ml, 9, 1e-12);
  assert_near(learned.doubt_ml, 0, 0);
}

/* Two fills of 40 and 44 ml: mean 42, deviation of the mean 2 (the usual standard error). */
static void test_doubt_of_two(void **state) {
  (void)state;
  const dw_mold mold = mold_of(DW_SIDE_TOWARD, DW_SIDE_LEFT);
  const dw_mold_record records[] = {{100, 60, 1}, {100, 56, 1}};
  dw_mold_learned learned;
  assert_int_equal(dw_mold_learn(&mold, records, 2, &learned, NULL), DW_OK);
  assert_near(learned.fill_ml, 42, 1e-12);
  assert_near(learned.doubt_ml, 2, 1e-12);
}

static void test_learning_refused(void **state) {
  (void)state;
  const dw_mold mold = mold_of(DW_SIDE_TOWARD, DW_SIDE_LEFT);
  const dw_mold_record bad[] = {{100, 100, 1}, {100, 50, 0}, {100, -1, 1}, {100, 95, 1}, {100, NAN, 1}};
  dw_mold_learned learned;
  assert_int_equal(dw_mold_learn(&mold, bad, 0, &learned, NULL), DW_TOO_FEW);
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
    assert_int_equal(dw_mold_learn(&mold, &bad[i], 1, &learned, NULL), DW_BAD_INPUT);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_units),
      cmocka_unit_test(test_units_refused),
      cmocka_unit_test(test_back_ends_up_on_the_back),
      cmocka_unit_test(test_side_names),
      cmocka_unit_test(test_mold_refused),
      cmocka_unit_test(test_learned_from_one),
      cmocka_unit_test(test_doubt_of_two),
      cmocka_unit_test(test_learning_refused),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
