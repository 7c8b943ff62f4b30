/* Cups gone too far, and dulling that holds its hue. "A cup with too much brown comes back by adding its own
 * color" is common practice, no source. */
#include "mix/cups.h"

static int setup(void **state) {
  *state = starter_shelf();
  return 0;
}

static int teardown(void **state) {
  dw_shelf_free(*state);
  return 0;
}

static dw_rescue rescued(const dw_shelf *shelf, const dw_cup *cup, const dw_cup *goal,
                         const dw_rules *rules) {
  const dw_aim aim = dw_aim_nearest(cup_color(shelf, goal).lab);
  const dw_rescue_job job = {shelf, cup, &bait, &aim, rules, DW_RESCUE_TOLERANCE_DE00};
  dw_rescue r;
  dw_error err = {0};
  if (dw_cup_rescue(&job, &r, &err) != DW_OK) fail_msg("%s", err.text);
  const double filled = dw_cup_filled_floz(cup, shelf);
  /* What is taken and what is added is what the cup holds at the end. */
  assert_near(r.take_floz + r.waste_floz, filled, 1e-9);
  assert_near(r.take_floz + r.clear_floz + dw_recipe_ml(&r.solution.add, shelf) / DW_ML_PER_FLOZ,
              dw_cup_filled_floz(&r.solution.cup, shelf), 1e-9);
  assert_true(dw_cup_filled_floz(&r.solution.cup, shelf) <= cup->capacity_floz + 1e-9);
  assert_true(r.reached == (r.solution.de00 <= 1.0));
  print_message("%s\n", r.words);
  return r;
}

static void test_its_own_color_brings_it_back(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup goal = cup_of(shelf, "orange=20;brown=2", 4, 5);
  const dw_rules rules = dw_rules_default();
  for (int brown = 3; brown <= 5; brown++) {
    char text[64];
    snprintf(text, sizeof text, "orange=20;brown=%d", brown);
    const dw_cup cup = cup_of(shelf, text, 4, 5);
    const dw_rescue r = rescued(shelf, &cup, &goal, &rules);
    assert_true(r.reached);
    assert_near(r.keep_share, 1, 0);
    assert_near(dw_recipe_amount(&r.solution.add, (size_t)dw_shelf_find(shelf, "brown")), 0, 0);
    for (size_t i = 0; i < r.solution.add.n; i++)
      assert_true(dw_recipe_amount(&cup.drops, r.solution.add.part[i].bottle) > 0);
    /* No dearer than what the solver takes when it may use everything. */
    const dw_aim aim = dw_aim_nearest(cup_color(shelf, &goal).lab);
    const dw_solution free = solved(shelf, &cup, &aim, &rules);
    double free_cost = free.add_clear_floz + DW_DROP_WORTH_FLOZ * dw_recipe_total(&free.add);
    for (size_t i = 0; i < free.add.n; i++)
      if (dw_recipe_amount(&cup.drops, free.add.part[i].bottle) <= 0) free_cost += DW_BOTTLE_WORTH_FLOZ;
    if (free.de00 <= 1) assert_true(r.cost_floz <= free_cost + 1e-9);
  }
}

static void test_a_share_starts_a_new_cup(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup goal = cup_of(shelf, "orange=12;brown=2", 4, 5),
               cup = cup_of(shelf, "orange=12;brown=24", 4, 4.2);
  const dw_rules rules = dw_rules_default();
  const dw_rescue r = rescued(shelf, &cup, &goal, &rules);
  assert_true(r.reached);
  assert_true(r.keep_share < 1 && r.keep_share >= 1. / 12);
  /* The new cup holds its share of the old drops and what was added. */
  for (size_t i = 0; i < shelf->n; i++)
    assert_near(dw_recipe_amount(&r.solution.cup.drops, i),
                r.keep_share * dw_recipe_amount(&cup.drops, i) + dw_recipe_amount(&r.solution.add, i), 1e-9);
}

static void test_more_room_costs_no_more(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup goal = cup_of(shelf, "yellow=16;brown=2", 4, 5);
  const dw_rules rules = dw_rules_default();
  double before = INFINITY;
  for (double capacity = 4.2; capacity < 20; capacity *= 1.5) {
    const dw_cup cup = cup_of(shelf, "yellow=16;brown=8", 4, capacity);
    const dw_rescue r = rescued(shelf, &cup, &goal, &rules);
    assert_true(r.reached);
    assert_true(r.cost_floz <= before + 0.1); /* whole drops round by a little */
    before = r.cost_floz;
  }
}

static void test_a_lost_cup_is_mixed_anew(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup cup = cup_of(shelf, "black=50", 2, 2.2), goal = cup_of(shelf, "white=28", 2, 3);
  const dw_rules rules = dw_rules_default();
  const dw_rescue r = rescued(shelf, &cup, &goal, &rules);
  assert_true(r.reached);
  assert_near(r.keep_share, 0, 0);
  assert_near(dw_recipe_amount(&r.solution.cup.drops, (size_t)dw_shelf_find(shelf, "black")), 0, 0);
  assert_non_null(strstr(r.words, "mix a new one from 2.00 fl oz of clear base"));
}

/* Where the shelf can't make the color, a new cup is no help, and none is proposed. */
static void test_no_new_cup_for_a_color_out_of_reach(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup cup = cup_of(shelf, "yellow=20;chartreuse=10", 4, 5);
  const dw_rules rules = dw_rules_default();
  const dw_aim aim = dw_aim_nearest(dw_lab_from_lch((dw_lch){80, 140, 100}));
  const dw_rescue_job job = {shelf, &cup, &bait, &aim, &rules, DW_RESCUE_TOLERANCE_DE00};
  dw_rescue r;
  assert_int_equal(dw_cup_rescue(&job, &r, NULL), DW_OK);
  assert_false(r.reached);
  assert_near(r.keep_share, 1, 0);
}

/* Every amount that has to be measured out is said, in either unit. */
static void test_words_name_all_amounts(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup goal = cup_of(shelf, "orange=12;brown=2", 4, 5),
               cup = cup_of(shelf, "orange=12;brown=24", 4, 4.2);
  const dw_rules rules = dw_rules_default();
  const dw_rescue r = rescued(shelf, &cup, &goal, &rules);
  char amount[64], metric[2 * DW_NOTE_TEXT];
  snprintf(amount, sizeof amount, "Take %.2f fl oz (", r.keep_share * dw_cup_filled_floz(&cup, shelf));
  assert_non_null(strstr(r.words, amount));
  snprintf(amount, sizeof amount, "add %.2f fl oz of clear base",
           r.solution.cup.volume_floz - 4 * r.keep_share);
  assert_non_null(strstr(r.words, amount));
  for (size_t i = 0; i < r.solution.add.n; i++) {
    const dw_part *part = &r.solution.add.part[i];
    snprintf(amount, sizeof amount, "%g %s", part->amount, shelf->bottle[part->bottle].id);
    assert_non_null(strstr(r.words, amount));
  }
  dw_rescue_words(shelf, &r, DW_UNITS_METRIC, metric, sizeof metric);
  snprintf(amount, sizeof amount, "Take %.0f ml (", r.take_floz * 29.5735);
  assert_non_null(strstr(metric, amount));
  assert_null(strstr(metric, "fl oz"));
}

/* What may go in to dull a cup. */
typedef enum helpers { BROWN_AND_OWN, BROWN_AND_OWN_IN_A_LARGE_CUP, ANY_BOTTLE, WAYS } helpers;

/* A cup of `drops` of one color with some of a second, its chroma to go down by 30%. */
static dw_solution dulled(const dw_shelf *shelf, const char *own, int drops, const char *with, helpers way,
                          dw_lch *before) {
  char text[80];
  snprintf(text, sizeof text, "%s=%d;%s=%d", own, drops, with, 1 + drops / 8);
  const dw_cup cup = cup_of(shelf, text, 4, way == BROWN_AND_OWN_IN_A_LARGE_CUP ? 50 : 5);
  const dw_lab from = cup_color(shelf, &cup).lab;
  const dw_aim aim = dw_aim_dull(from, 0.3);
  dw_rules rules = dw_rules_default();
  if (way == BROWN_AND_OWN_IN_A_LARGE_CUP) rules.max_drops = 1000;
  for (size_t i = 0; i < shelf->n && way != ANY_BOTTLE; i++)
    if (shelf->bottle[i].role != DW_ROLE_BROWN && dw_recipe_amount(&cup.drops, i) <= 0)
      rules.use[i] = DW_USE_NEVER;
  const dw_solution s = solved(shelf, &cup, &aim, &rules);
  assert_lawful(shelf, &cup, &rules, &s);
  *before = dw_lch_from_lab(from);
  return s;
}

static void count_dulled(const dw_shelf *shelf, helpers way, int *held, int reached[2], int *silent) {
  const char *const colors[] = {"yellow", "orange"}, *const seconds[] = {"red", "white", "blue",
                                                                         "melon-green"};
  *held = *silent = reached[0] = reached[1] = 0;
  for (int color = 0; color < 2; color++)
    for (int drops = 4; drops <= 28; drops += 4)
      for (int second = 0; second < 5; second++) {
        dw_lch a;
        const char *with = second < 4 ? seconds[second] : colors[1 - color];
        const dw_solution s = dulled(shelf, colors[color], drops, with, way, &a);
        const dw_lch b = dw_lch_from_lab(s.predicted.lab);
        *held += fabs(remainder(b.h - a.h, 360)) <= 5;
        const bool there = fabs(b.C / a.C - 0.7) <= 0.05;
        reached[color] += there;
        *silent += !there && s.limit == DW_LIMIT_NONE;
      }
}

/* Hue within 5 degrees in at least 90% of all; the chroma aimed for in at least 90% of the oranges. Brown
 * turns a yellow that holds nothing green or blue, and holding its hue then takes more yellow and base than
 * the cup has room for: such a cup keeps its hue, loses less chroma, and says why. A larger cup or one more
 * bottle brings the yellows there, too. */
static void test_dulling_holds_the_hue(void **state) {
  static const char *const said[WAYS] = {"brown and own bottles", "the same in a large cup", "any bottle"};
  enum { EACH = 35 };
  for (int way = 0; way < WAYS; way++) {
    int held, silent, reached[2];
    count_dulled(*state, (helpers)way, &held, reached, &silent);
    print_message("dulled by 30%% with %s: hue within 5 degrees in %d of %d; chroma within 5%% in %d of %d "
                  "yellow, %d of %d orange\n",
                  said[way], held, 2 * EACH, reached[0], EACH, reached[1], EACH);
    assert_true(held >= 0.9 * 2 * EACH);
    assert_true(reached[1] >= 0.9 * EACH);
    assert_true(way == BROWN_AND_OWN || reached[0] >= 0.9 * EACH);
    assert_int_equal(silent, 0);
  }
}

/* See-through at a level with hue and chroma held as well as can be. */
static void test_see_through_at_a_level(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup cup = cup_of(shelf, "melon-green=8;white=2", 4, 8);
  const dw_prediction from = cup_color(shelf, &cup);
  const dw_rules rules = dw_rules_default();
  for (int i = -1; i <= 1; i += 2) {
    const dw_aim aim = dw_aim_see_through(from.lab, from.see_through + 0.12 * i);
    const dw_solution s = solved(shelf, &cup, &aim, &rules);
    assert_near(s.predicted.see_through, aim.see_through, 0.04);
    const dw_lch a = dw_lch_from_lab(from.lab), b = dw_lch_from_lab(s.predicted.lab);
    assert_true(fabs(remainder(b.h - a.h, 360)) <= 8);
  }
}

static void test_refusals(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup cup = cup_of(shelf, "pearl=3", 4, 5);
  const dw_aim aim = dw_aim_nearest((dw_lab){50, 0, 0});
  dw_rules rules = dw_rules_default();
  dw_rescue_job job = {shelf, &cup, &bait, &aim, &rules, NAN};
  dw_rescue r = {.keep_share = 7};
  dw_error err;
  assert_int_equal(dw_cup_rescue(&job, &r, &err), DW_BAD_INPUT);
  job.tolerance_de00 = 1;
  rules.max_clear_floz = 0;
  for (size_t i = 0; i < shelf->n; i++) rules.use[i] = DW_USE_NEVER;
  assert_int_equal(dw_cup_rescue(&job, &r, &err), DW_BAD_INPUT);
  assert_near(r.keep_share, 7, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_its_own_color_brings_it_back),
                                     cmocka_unit_test(test_a_share_starts_a_new_cup),
                                     cmocka_unit_test(test_more_room_costs_no_more),
                                     cmocka_unit_test(test_a_lost_cup_is_mixed_anew),
                                     cmocka_unit_test(test_no_new_cup_for_a_color_out_of_reach),
                                     cmocka_unit_test(test_words_name_all_amounts),
                                     cmocka_unit_test(test_dulling_holds_the_hue),
                                     cmocka_unit_test(test_see_through_at_a_level),
                                     cmocka_unit_test(test_refusals)};
  return cmocka_run_group_tests(tests, setup, teardown);
}
