/* Strengths from pours where the truth is known, lots, words, and when to stop. */
#include <stdio.h>

#include "check.h"
#include "dropwise/correct.h"
#include "dropwise/fit.h"

enum { POURS = 24, MANY_POURS = 80 };

static dw_shelf *starter(void) {
  dw_shelf *shelf = NULL;
  dw_error err;
  assert_int_equal(dw_shelf_starter(&shelf, &err), DW_OK);
  return shelf;
}

/* Pours of two bottles each, all round the shelf, read as the shelf with these strengths predicts them. */
static void pours_make(const dw_shelf *shelf, const double *strength, size_t n, dw_chip *pours) {
  const dw_slab slab = {10, DW_BACKING_GRAY};
  for (size_t i = 0; i < n; i++) {
    double c[DW_SHELF_MAX] = {0};
    size_t first = i % shelf->n, second = (first + 1 + i / shelf->n) % shelf->n;
    pours[i] = (dw_chip){.thickness_mm = slab.thickness_mm, .backing = slab.backing};
    pours[i].recipe = (dw_recipe){.n = 2, .part = {{first, 3}, {second, 1.5}}};
    c[first] = 3 * strength[first], c[second] = 1.5 * strength[second];
    pours[i].lab = dw_predict_lab(shelf, c, &slab);
  }
}

static dw_learned learn(const dw_shelf *shelf, const dw_chip *pours, size_t n, uint64_t new_lots) {
  dw_learned out;
  dw_error err = {0};
  if (dw_strengths_learn(shelf, pours, n, new_lots, &out, &err) != DW_OK) fail_msg("%s", err.text);
  return out;
}

static void test_strengths_found(void **state) {
  (void)state;
  double strength[DW_SHELF_MAX];
  dw_chip pours[POURS];
  dw_shelf *shelf = starter();
  for (size_t i = 0; i < DW_SHELF_MAX; i++) strength[i] = i % 3 == 0 ? 1.12 : i % 3 == 1 ? 0.9 : 1;
  pours_make(shelf, strength, POURS, pours);
  dw_learned learned = learn(shelf, pours, POURS, 0);
  for (size_t i = 0; i < shelf->n; i++) {
    /* Nearer to the truth than to 1, and within twice its own doubt: the prior holds some back. */
    assert_true(fabs(log(learned.bottle[i].strength / strength[i])) <= 2 * learned.bottle[i].sd);
    assert_true(fabs(learned.bottle[i].strength - strength[i]) < 0.05);
    assert_true(learned.bottle[i].sd > 0 && learned.bottle[i].sd < DW_STRENGTH_PRIOR_SD);
  }
  assert_true(learned.after_de00 < 0.5 * learned.before_de00);
  dw_strengths_apply(shelf, &learned);
  assert_near(shelf->bottle[0].strength, learned.bottle[0].strength, 0);
  dw_shelf_free(shelf);
}

static void test_words(void **state) {
  (void)state;
  double strength[DW_SHELF_MAX];
  dw_chip pours[MANY_POURS];
  char expected[120];
  dw_shelf *shelf = starter();
  for (size_t i = 0; i < DW_SHELF_MAX; i++) strength[i] = 1;
  strength[1] = 1.15;
  pours_make(shelf, strength, MANY_POURS, pours);
  dw_learned learned = learn(shelf, pours, MANY_POURS, 0);
  snprintf(expected, sizeof expected, "%s runs %.0f%% stronger than its chips said", shelf->bottle[1].id,
           100 * (learned.bottle[1].strength - 1));
  assert_string_equal(learned.bottle[1].words, expected);
  for (size_t i = 0; i < shelf->n; i++)
    if (i != 1) assert_string_equal(learned.bottle[i].words, "");
  dw_shelf_free(shelf);
}

/* A bottle that no pour holds: nothing learned, the prior's own doubt. */
static void test_unseen_bottle(void **state) {
  (void)state;
  double strength[DW_SHELF_MAX];
  dw_chip pours[1];
  dw_shelf *shelf = starter();
  for (size_t i = 0; i < DW_SHELF_MAX; i++) strength[i] = 1.1;
  pours_make(shelf, strength, 1, pours);
  dw_learned learned = learn(shelf, pours, 1, 1u << 3);
  assert_int_equal(learned.bottle[2].pours, 0);
  assert_near(learned.bottle[2].strength, 1, 1e-9);
  assert_near(learned.bottle[2].sd, DW_STRENGTH_PRIOR_SD, 1e-9);
  assert_near(learned.bottle[3].sd, DW_STRENGTH_PRIOR_SD_NEW_LOT, 1e-9);
  dw_strengths_apply(shelf, &learned);
  assert_near(shelf->bottle[2].strength_sd, 0, 0);
  dw_shelf_free(shelf);
}

/* Pours of an earlier lot say nothing of the new one, which only its own pours teach. */
static void test_new_lot(void **state) {
  (void)state;
  double strength[DW_SHELF_MAX];
  dw_chip pours[2 * POURS];
  dw_shelf *shelf = starter();
  for (size_t i = 0; i < DW_SHELF_MAX; i++) strength[i] = 1;
  strength[0] = 1.15;
  pours_make(shelf, strength, POURS, pours);
  for (size_t i = 0; i < POURS; i++) pours[i].old_lots = 1;
  dw_learned old_only = learn(shelf, pours, POURS, 1);
  assert_int_equal(old_only.bottle[0].pours, 0);
  assert_near(old_only.bottle[0].strength, 1, 1e-6);
  strength[0] = 0.80;
  pours_make(shelf, strength, POURS, pours + POURS);
  dw_learned both = learn(shelf, pours, 2 * POURS, 1);
  assert_true(both.bottle[0].pours > 0);
  assert_near(both.bottle[0].strength, 0.80, 0.03);
  dw_shelf_free(shelf);
}

static void test_refuses(void **state) {
  (void)state;
  dw_learned learned;
  dw_error err = {0};
  dw_chip pour = {
      .recipe = {.n = 1, .part = {{0, 2}}}, .thickness_mm = 10, .backing = 0.2, .lab = {50, 0, 0}};
  dw_shelf *shelf = starter();
  assert_int_equal(dw_strengths_learn(shelf, &pour, 0, 0, &learned, &err), DW_TOO_FEW);
  pour.recipe.part[0].bottle = 60;
  assert_int_equal(dw_strengths_learn(shelf, &pour, 1, 0, &learned, &err), DW_BAD_INPUT);
  pour.recipe.part[0].bottle = 0, pour.lab.L = NAN;
  assert_int_equal(dw_strengths_learn(shelf, &pour, 1, 0, &learned, &err), DW_BAD_INPUT);
  dw_shelf_free(shelf);
}

/* Another bait is far; a bottle half again as strong, an uncertain photo and invented bottles are not. */
static void test_miss(void **state) {
  (void)state;
  const dw_slab slab = {10, DW_BACKING_GRAY};
  dw_shelf *shelf = starter();
  dw_recipe loadings = {.n = 2, .part = {{0, 3}, {1, 1.5}}};
  dw_prediction p;
  dw_miss miss;
  dw_error err = {0};
  for (size_t i = 0; i < shelf->n; i++) shelf->bottle[i].origin = DW_ORIGIN_FITTED;
  assert_int_equal(dw_predict(shelf, &loadings, &slab, &p, &err), DW_OK);
  dw_lab other = {p.lab.L + 20, p.lab.a, p.lab.b};
  assert_int_equal(dw_pour_miss(shelf, &loadings, &slab, other, 0.7, &miss, &err), DW_OK);
  assert_true(miss.far && miss.limit_de00 >= DW_MISS_LEAST_DE00);
  assert_near(miss.de00, dw_de00(p.lab, other), 1e-9);
  assert_int_equal(dw_pour_miss(shelf, &loadings, &slab, other, 6.5, &miss, &err), DW_OK);
  assert_false(miss.far);
  shelf->bottle[0].origin = DW_ORIGIN_INVENTED;
  dw_lab between = {p.lab.L + 13, p.lab.a, p.lab.b};
  assert_int_equal(dw_pour_miss(shelf, &loadings, &slab, between, 0.7, &miss, &err), DW_OK);
  assert_false(miss.far);
  dw_recipe strong = {.n = 2, .part = {{0, 4.5}, {1, 1.5}}};
  shelf->bottle[0].origin = DW_ORIGIN_FITTED;
  assert_int_equal(dw_predict(shelf, &strong, &slab, &p, &err), DW_OK);
  assert_int_equal(dw_pour_miss(shelf, &loadings, &slab, p.lab, 0, &miss, &err), DW_OK);
  assert_false(miss.far);
  dw_shelf_free(shelf);
}

static void test_carry(void **state) {
  (void)state;
  dw_rules rules = dw_rules_default();
  dw_rules_measured(&rules, (dw_lab){50, 10, 20}, (dw_lab){51, 9, 22.5});
  assert_near(rules.offset_at.b, 20, 0);
  assert_near(rules.offset.L, 1, 0);
  assert_near(rules.offset.a, -1, 0);
  assert_near(rules.offset.b, 2.5, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_refuses), cmocka_unit_test(test_strengths_found),
      cmocka_unit_test(test_words),   cmocka_unit_test(test_unseen_bottle),
      cmocka_unit_test(test_new_lot), cmocka_unit_test(test_carry),
      cmocka_unit_test(test_miss),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
