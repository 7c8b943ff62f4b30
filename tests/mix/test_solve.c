/* The solver: reaches what can be reached, keeps every limit, and says what stands in the way. */
#include "mix/cups.h"

static int setup(void **state) {
  *state = starter_shelf();
  return 0;
}

static int teardown(void **state) {
  dw_shelf_free(*state);
  return 0;
}

/* Figures aimed for: mean 0.25, worst 0.84 (docs/mixing-model.md#solve). */
static void test_recipes_from_nothing(void **state) {
  const dw_shelf *shelf = *state;
  dw_random random = dw_random_seed(7);
  const dw_rules rules = dw_rules_default();
  double sum = 0, worst = 0;
  const int trials = 250;
  for (int i = 0; i < trials; i++) {
    const dw_cup made = random_cup(shelf, &random, 2 + (size_t)i % 3, 60, 4);
    const dw_cup empty = {.volume_floz = 4, .capacity_floz = 5};
    const dw_aim aim = dw_aim_nearest(cup_color(shelf, &made).lab);
    const dw_solution s = solved(shelf, &empty, &aim, &rules);
    assert_lawful(shelf, &empty, &rules, &s);
    assert_near(s.de00, dw_de00(cup_color(shelf, &s.cup).lab, aim.target), 1e-9);
    sum += s.de00;
    worst = fmax(worst, s.de00);
  }
  print_message("%d targets: mean %.3f, worst %.3f\n", trials, sum / trials, worst);
  assert_true(sum / trials <= 0.25);
  assert_true(worst <= 0.84);
}

/* A cup that has half of what its target needs is completed; one with anything in it is never made worse. */
static void test_add_only(void **state) {
  const dw_shelf *shelf = *state;
  dw_random random = dw_random_seed(21);
  const dw_rules rules = dw_rules_default();
  double sum = 0;
  const int trials = 150;
  for (int i = 0; i < trials; i++) {
    const dw_cup made = random_cup(shelf, &random, 3, 60, 4), other = random_cup(shelf, &random, 2, 30, 4);
    dw_cup half = made;
    for (size_t j = 0; j < half.drops.n; j++) half.drops.part[j].amount = ceil(half.drops.part[j].amount / 2);
    const dw_aim aim = dw_aim_nearest(cup_color(shelf, &made).lab);
    dw_solution s = solved(shelf, &half, &aim, &rules);
    assert_lawful(shelf, &half, &rules, &s);
    sum += s.de00;
    s = solved(shelf, &other, &aim, &rules);
    assert_lawful(shelf, &other, &rules, &s);
    assert_true(s.de00 <= dw_de00(cup_color(shelf, &other).lab, aim.target) + 1e-9);
  }
  print_message("%d half-made cups: mean %.3f\n", trials, sum / trials);
  assert_true(sum / trials <= 0.25);
}

static void test_same_question_same_answer(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup cup = cup_of(shelf, "orange=12;brown=9", 4, 5);
  const dw_aim aim = dw_aim_nearest((dw_lab){45, 30, 40});
  const dw_rules rules = dw_rules_default();
  const dw_solution a = solved(shelf, &cup, &aim, &rules), b = solved(shelf, &cup, &aim, &rules);
  assert_int_equal(a.add.n, b.add.n);
  for (size_t i = 0; i < a.add.n; i++) {
    assert_int_equal(a.add.part[i].bottle, b.add.part[i].bottle);
    assert_near(a.add.part[i].amount, b.add.part[i].amount, 0);
  }
  assert_near(a.add_clear_floz, b.add_clear_floz, 0);
  assert_near(a.de00, b.de00, 0);
}

static void test_steps(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup empty = {.volume_floz = 1, .capacity_floz = 1.5};
  const dw_cup made = cup_of(shelf, "orange=4;yellow=3;brown=1", 1.3, 2);
  const dw_aim aim = dw_aim_nearest(cup_color(shelf, &made).lab);
  dw_rules rules = dw_rules_default();
  const double steps[] = {1, 0.5, 0, 0.1};
  double de[4];
  for (int i = 0; i < 4; i++) {
    rules.step_drops = steps[i];
    const dw_solution s = solved(shelf, &empty, &aim, &rules);
    assert_lawful(shelf, &empty, &rules, &s);
    de[i] = s.de00;
  }
  assert_true(de[1] <= de[0] + 0.1 && de[3] <= de[1] + 0.1 && de[3] < 0.3);
}

static void test_bottles_barred_and_limited(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup made = cup_of(shelf, "orange=10;brown=5;white=3", 4, 5),
               empty = {.volume_floz = 4, .capacity_floz = 5};
  const dw_aim aim = dw_aim_nearest(cup_color(shelf, &made).lab);
  dw_rules rules = dw_rules_default();
  for (size_t most = 1; most <= 5; most++) {
    rules.max_bottles = most;
    const dw_solution s = solved(shelf, &empty, &aim, &rules);
    assert_lawful(shelf, &empty, &rules, &s);
    assert_true(s.add.n <= most);
  }
  /* "Use only these": orange and brown. */
  for (size_t i = 0; i < shelf->n; i++) rules.use[i] = DW_USE_NEVER;
  rules.use[dw_shelf_find(shelf, "orange")] = rules.use[dw_shelf_find(shelf, "brown")] = DW_USE_FREE;
  const dw_solution s = solved(shelf, &empty, &aim, &rules);
  assert_lawful(shelf, &empty, &rules, &s);
  assert_int_equal(s.limit, DW_LIMIT_SET_ASIDE);
}

/* "A bright blue accent is usually left without brown" (common practice, no source). */
/* Too much brown, and as many bottles in the cup as may be: what reaches nearest is the cup's own orange,
 * never a bottle more, whether it is named or the solver is free to choose. Against every count of orange. */
static void test_no_bottle_beyond_those_in_the_cup(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup cup = cup_of(shelf, "orange=28;brown=12", 4, 5);
  const dw_aim aim = dw_aim_nearest((dw_lab){46.4, 23, 26});
  dw_rules rules = dw_rules_default();
  double least = INFINITY;
  rules.max_bottles = 2;
  rules.offset = (dw_lab){3, -9, -3};
  rules.offset_at = cup_color(shelf, &cup).lab;
  for (double drops = 0; drops <= 20; drops++) {
    dw_cup more = cup;
    assert_true(dw_recipe_add(&more.drops, (size_t)dw_shelf_find(shelf, "orange"), drops));
    least = fmin(least, dw_de00(dw_rules_carry(&rules, cup_color(shelf, &more).lab), aim.target));
  }
  const dw_solution free = solved(shelf, &cup, &aim, &rules);
  assert_lawful(shelf, &cup, &rules, &free);
  for (size_t i = 0; i < free.add.n; i++)
    assert_true(dw_recipe_amount(&cup.drops, free.add.part[i].bottle) > 0);
  assert_true(free.de00 <= least + 0.2);
}

static void test_bright_blue_needs_no_brown(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup made = cup_of(shelf, "blue=14", 4, 5), empty = {.volume_floz = 4, .capacity_floz = 5};
  const dw_aim aim = dw_aim_nearest(cup_color(shelf, &made).lab);
  const dw_rules rules = dw_rules_default();
  dw_solution s = solved(shelf, &empty, &aim, &rules);
  assert_int_equal(s.add.n, 1);
  assert_near(dw_recipe_amount(&s.add, (size_t)dw_shelf_find(shelf, "blue")), 14, 1);
  s = solved(shelf, &made, &aim, &rules);
  assert_int_equal(s.add.n, 0);
  assert_near(s.add_clear_floz, 0, 0);
}

/* As many bottles in the cup as may be, or more: only those in it are added to, however far off the target
 * lies (there the search tries every bottle by itself, too). */
static void test_no_bottle_beyond_the_limit(void **state) {
  const dw_shelf *shelf = *state;
  const char *const cups[] = {"orange=6;yellow=6;red=3;white=4", "orange=28;brown=12",
                              "orange=2;brown=2;yellow=2;white=2;pink=2;red=1"};
  const dw_lab measured[] = {{0, 0, 0}, {8, -12, 5}, {-9, 6, -14}};
  for (size_t c = 0; c < sizeof cups / sizeof *cups; c++) {
    const dw_cup cup = cup_of(shelf, cups[c], 4, 5);
    dw_rules rules = dw_rules_default();
    rules.max_bottles = c == 2 ? 4 : cup.drops.n;
    rules.offset_at = cup_color(shelf, &cup).lab;
    for (int i = 0; i < 3 * 6 * 7; i++) {
      const double h = 60 * (i / 3 % 6);
      rules.offset = measured[i % 3];
      const dw_aim aim = dw_aim_nearest(dw_lab_from_lch((dw_lch){5 + 15 * (i / 18), i % 2 ? 25 : 70, h}));
      const dw_solution s = solved(shelf, &cup, &aim, &rules);
      assert_lawful(shelf, &cup, &rules, &s);
    }
  }
}

/* The same of a cup that holds as many bottles as a cup can, while black and white stand beside it. */
static void test_a_cup_of_twelve_bottles(void **state) {
  const dw_shelf *starter = *state;
  dw_shelf *shelf = NULL;
  assert_int_equal(dw_shelf_clone(starter, &shelf, NULL), DW_OK);
  dw_cup cup = {.volume_floz = 4, .capacity_floz = 5};
  for (size_t i = 0; cup.drops.n < DW_CUP_BOTTLES_MAX; i++) {
    if (i >= starter->n) {
      shelf->bottle[i] = starter->bottle[i - starter->n];
      snprintf(shelf->bottle[i].id, DW_ID_ROOM, "second-%zu", i);
      shelf->n = i + 1;
    }
    const dw_role role = shelf->bottle[i].role;
    if (role != DW_ROLE_BLACK && role != DW_ROLE_WHITE) assert_true(dw_recipe_add(&cup.drops, i, 1));
  }
  const dw_rules rules = dw_rules_default();
  const dw_lab targets[] = {{5, 0, 0}, {96, 0, 0}, {40, 60, -40}, {50, -60, 30}, {30, 20, -60}};
  for (size_t i = 0; i < sizeof targets / sizeof *targets; i++) {
    const dw_aim aim = dw_aim_nearest(targets[i]);
    const dw_solution s = solved(shelf, &cup, &aim, &rules);
    assert_lawful(shelf, &cup, &rules, &s);
  }
  dw_shelf_free(shelf);
}

/* A cup twice as large takes twice the drops: the same loadings, the same color. An 8 fl oz cup that needs a
 * dozen drops of brown gets them, whatever it holds. */
static void test_drops_allowed_go_by_volume(void **state) {
  const dw_shelf *shelf = *state;
  const dw_rules rules = dw_rules_default();
  const dw_cup goal = cup_of(shelf, "orange=12;brown=6.5", 2, 3);
  const dw_aim aim = dw_aim_nearest(cup_color(shelf, &goal).lab);
  for (double volume = 1; volume <= 64; volume *= 2) {
    char drops[80];
    snprintf(drops, sizeof drops, "orange=%g;brown=%g", 6 * volume, 1.75 * volume);
    const dw_cup cup = cup_of(shelf, drops, volume, 1.25 * volume);
    assert_true(dw_de00(cup_color(shelf, &cup).lab, aim.target) > 3);
    const dw_solution s = solved(shelf, &cup, &aim, &rules);
    assert_lawful(shelf, &cup, &rules, &s);
    assert_true(s.de00 < 1);
  }
  const dw_cup empty = {.volume_floz = 4, .capacity_floz = 5}, heavy = cup_of(shelf, "white=70", 4, 5);
  assert_near(dw_rules_max_drops(&rules, &empty), 60, 0);
  assert_near(dw_rules_max_drops(&rules, &heavy), 90, 0);
}

static void test_odd_cups(void **state) {
  const dw_shelf *shelf = *state;
  const dw_aim aim = dw_aim_nearest((dw_lab){50, 20, 40});
  dw_rules rules = dw_rules_default();
  /* More drops in it than allowed: only clear base. */
  dw_cup cup = cup_of(shelf, "orange=50;brown=30", 4, 5);
  rules.max_drops = 60;
  dw_solution s = solved(shelf, &cup, &aim, &rules);
  assert_lawful(shelf, &cup, &rules, &s);
  assert_int_equal(s.add.n, 0);
  rules = dw_rules_default();
  /* No room at all: nothing, and it says why. */
  cup = cup_of(shelf, "blue=10", 4, 5);
  cup.capacity_floz = dw_cup_filled_floz(&cup, shelf);
  s = solved(shelf, &cup, &aim, &rules);
  assert_int_equal(s.add.n, 0);
  assert_near(s.add_clear_floz, 0, 0);
  assert_int_equal(s.limit, DW_LIMIT_FULL);
  /* A pearl cup can be corrected, but pearl is never added. */
  cup = cup_of(shelf, "pearl=10;orange=3", 4, 5);
  s = solved(shelf, &cup, &aim, &rules);
  assert_lawful(shelf, &cup, &rules, &s);
  assert_true(s.predicted.notes.n > 0);
  /* A huge vat and a thimble. */
  cup = (dw_cup){.volume_floz = 5000, .capacity_floz = 6000};
  s = solved(shelf, &cup, &aim, &rules);
  assert_lawful(shelf, &cup, &rules, &s);
  cup = (dw_cup){.volume_floz = 0.01, .capacity_floz = 0.01};
  s = solved(shelf, &cup, &aim, &rules);
  assert_lawful(shelf, &cup, &rules, &s);
}

static void test_targets_nothing_can_reach(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup empty = {.volume_floz = 4, .capacity_floz = 5}, cup = cup_of(shelf, "orange=9", 4, 5);
  const dw_rules rules = dw_rules_default();
  const dw_lab targets[] = {{100, 0, 0},    {0, 0, 0},        {50, 120, 0}, {50, -120, 100},
                            {30, 60, -120}, {200, 300, -300}, {-50, 0, 0},  {95, -10, 110}};
  for (size_t i = 0; i < sizeof targets / sizeof *targets; i++) {
    const dw_aim aim = dw_aim_nearest(targets[i]);
    dw_solution s = solved(shelf, &empty, &aim, &rules);
    assert_lawful(shelf, &empty, &rules, &s);
    assert_int_not_equal(s.limit, DW_LIMIT_NONE);
    s = solved(shelf, &cup, &aim, &rules);
    assert_lawful(shelf, &cup, &rules, &s);
  }
}

/* Each limit, in a case that is plainly its own. */
static void test_says_what_limits(void **state) {
  const dw_shelf *shelf = *state;
  dw_shelf *few = NULL;
  assert_int_equal(dw_shelf_clone(shelf, &few, NULL), DW_OK);
  const dw_cup empty = {.volume_floz = 4, .capacity_floz = 5};
  dw_rules rules = dw_rules_default();
  dw_aim aim = dw_aim_nearest((dw_lab){8, 0, 2});
  few->bottle[0] = shelf->bottle[dw_shelf_find(shelf, "yellow")];
  few->bottle[1] = shelf->bottle[dw_shelf_find(shelf, "white")];
  few->n = 2;
  assert_int_equal(solved(few, &empty, &aim, &rules).limit, DW_LIMIT_DARK);
  few->n = 1;
  aim.target = (dw_lab){96, -3, 5};
  few->bottle[0] = shelf->bottle[dw_shelf_find(shelf, "blue")];
  assert_int_equal(solved(few, &empty, &aim, &rules).limit, DW_LIMIT_LIGHT);
  aim.target = dw_lab_from_lch((dw_lch){31, 42, 292});
  assert_int_equal(solved(few, &empty, &aim, &rules).limit, DW_LIMIT_HUE);
  dw_shelf_free(few);
  aim.target = dw_lab_from_lch((dw_lch){60, 110, 95});
  assert_int_equal(solved(shelf, &empty, &aim, &rules).limit, DW_LIMIT_CHROMA);

  dw_cup made = cup_of(shelf, "orange=40;white=10", 4, 6);
  aim.target = cup_color(shelf, &made).lab;
  rules.max_drops = 12;
  const dw_cup begun = cup_of(shelf, "orange=2", 4, 5);
  assert_int_equal(solved(shelf, &empty, &aim, &rules).limit, DW_LIMIT_DROPS);
  const dw_solution few_drops = solved(shelf, &begun, &aim, &rules);
  assert_non_null(strstr(few_drops.limit_words, "12 drops a cup may have, the 2 in it counted"));
  rules = dw_rules_default();
  made = cup_of(shelf, "orange=9;blue=3", 4, 6);
  aim.target = cup_color(shelf, &made).lab;
  rules.max_bottles = 1;
  assert_int_equal(solved(shelf, &empty, &aim, &rules).limit, DW_LIMIT_BOTTLES);
  rules = dw_rules_default();
  made = cup_of(shelf, "yellow=12", 4, 6);
  aim.target = cup_color(shelf, &made).lab;
  made = cup_of(shelf, "yellow=12;black=8", 4, 4.1);
  assert_int_equal(solved(shelf, &made, &aim, &rules).limit, DW_LIMIT_FULL);
  made = cup_of(shelf, "yellow=6;brown=3", 8, 9);
  aim.target = cup_color(shelf, &made).lab;
  rules.max_drops = 2; /* with more, an opaque mix would do as well */
  const dw_cup thimble = {.volume_floz = 0.1, .capacity_floz = 0.2};
  const dw_solution s = solved(shelf, &thimble, &aim, &rules);
  assert_int_equal(s.limit, DW_LIMIT_STEP);
  assert_non_null(strstr(s.limit_words, "too coarse"));
}

/* A carried offset is added where it was seen, fades with the move as exp(-(|move| / 15)^2), and the solver
 * aims with it. */
static void test_carried_offset(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup cup = cup_of(shelf, "orange=10;brown=2", 4, 5),
               goal = cup_of(shelf, "orange=12;brown=5", 4, 5);
  dw_rules rules = dw_rules_default();
  rules.offset = (dw_lab){2, -3, 1};
  rules.offset_at = cup_color(shelf, &cup).lab;
  const dw_lab g = cup_color(shelf, &goal).lab, at = rules.offset_at;
  const double square =
      (g.L - at.L) * (g.L - at.L) + (g.a - at.a) * (g.a - at.a) + (g.b - at.b) * (g.b - at.b);
  const double share = exp(-square / 225);
  const dw_aim aim = dw_aim_nearest((dw_lab){g.L + 2 * share, g.a - 3 * share, g.b + share});
  const dw_solution s = solved(shelf, &cup, &aim, &rules);
  assert_true(s.de00 < 0.4);
  const dw_lab there = cup_color(shelf, &s.cup).lab;
  const double moved = pow(there.L - at.L, 2) + pow(there.a - at.a, 2) + pow(there.b - at.b, 2);
  assert_near(s.predicted.lab.a, there.a - 3 * exp(-moved / 225), 1e-9);
  assert_near(s.de00, dw_de00(s.predicted.lab, aim.target), 1e-9);
}

static void refused(const dw_shelf *shelf, const dw_cup *cup, const dw_aim *aim, const dw_rules *rules,
                    const char *word) {
  dw_solution s = {.de00 = 77};
  dw_error err = {0};
  assert_int_equal(dw_solve(shelf, cup, &bait, aim, rules, &s, &err), DW_BAD_INPUT);
  if (!strstr(err.text, word)) fail_msg("\"%s\" does not say \"%s\"", err.text, word);
  assert_near(s.de00, 77, 0);
}

static void test_refusals(void **state) {
  const dw_shelf *shelf = *state;
  const dw_cup good = {.volume_floz = 4, .capacity_floz = 5};
  const dw_aim aim = dw_aim_nearest((dw_lab){50, 20, 40});
  const dw_rules rules = dw_rules_default();
  dw_cup cup = {.volume_floz = 0, .capacity_floz = 5};
  refused(shelf, &cup, &aim, &rules, "0 fl oz");
  cup.volume_floz = NAN;
  refused(shelf, &cup, &aim, &rules, "nan");
  cup = (dw_cup){.volume_floz = 6, .capacity_floz = 5};
  refused(shelf, &cup, &aim, &rules, "capacity of 5");
  dw_aim bad_aim = dw_aim_nearest((dw_lab){NAN, 0, 0});
  refused(shelf, &good, &bad_aim, &rules, "target");
  bad_aim = aim;
  bad_aim.weight_hue = -1;
  refused(shelf, &good, &bad_aim, &rules, "weights");
  bad_aim = dw_aim_see_through(aim.target, 1.5);
  refused(shelf, &good, &bad_aim, &rules, "1.5");
  dw_rules bad = rules;
  bad.step_drops = -1;
  refused(shelf, &good, &aim, &bad, "-1 drops");
  bad = rules;
  bad.step_drops = bad.step_ml = 0;
  refused(shelf, &good, &aim, &bad, "0 ml");
  bad = rules;
  for (size_t i = 0; i < shelf->n; i++) bad.use[i] = DW_USE_NEVER;
  refused(shelf, &good, &aim, &bad, "no bottle");
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_recipes_from_nothing),
                                     cmocka_unit_test(test_add_only),
                                     cmocka_unit_test(test_same_question_same_answer),
                                     cmocka_unit_test(test_steps),
                                     cmocka_unit_test(test_bottles_barred_and_limited),
                                     cmocka_unit_test(test_no_bottle_beyond_those_in_the_cup),
                                     cmocka_unit_test(test_bright_blue_needs_no_brown),
                                     cmocka_unit_test(test_no_bottle_beyond_the_limit),
                                     cmocka_unit_test(test_a_cup_of_twelve_bottles),
                                     cmocka_unit_test(test_drops_allowed_go_by_volume),
                                     cmocka_unit_test(test_odd_cups),
                                     cmocka_unit_test(test_targets_nothing_can_reach),
                                     cmocka_unit_test(test_says_what_limits),
                                     cmocka_unit_test(test_carried_offset),
                                     cmocka_unit_test(test_refusals)};
  return cmocka_run_group_tests(tests, setup, teardown);
}
