/* Plugin blend: a blend that turned muddy is clean behind its advice, by no more of a change than the least that one
 * bottle makes, nor much more than two can make,
 * and a layer that drowns its neighbor is evened. Blends are predicted here apart from the plugin. */
#include "bench_for_tests.h"
#include "dropwise/plan_blend.h"

/* The advice that warns so, or NULL. */
static const dw_advice *advice_that(const char *warns) {
  for (size_t i = 0; i < result->n; i++)
    if (warned(&result->advice[i], warns)) return &result->advice[i];
  return NULL;
}

/* What lies between two layers after additions to one of them. False: that cup can't take them. */
static bool blend_after(size_t first, size_t changed, const dw_recipe *add, double clear_floz,
                        dw_blend *out) {
  dw_blend_layer layer[2] = {0};
  for (size_t i = 0; i < 2; i++) {
    dw_cup cup = b->request.layer[first + i].cup;
    if (first + i == changed) {
      for (size_t k = 0; k < add->n; k++)
        assert_true(dw_recipe_add(&cup.drops, add->part[k].bottle, add->part[k].amount));
      cup.volume_floz += clear_floz;
      if (dw_recipe_total(&cup.drops) > dw_rules_max_drops(&b->request.rules, &cup) ||
          dw_cup_filled_floz(&cup, b->shelf) > cup.capacity_floz ||
          cup.drops.n > b->request.rules.max_bottles)
        return false;
    }
    assert_int_equal(dw_blend_cup(b->shelf, &b->request.slab, &cup, NULL, &layer[i], NULL), DW_OK);
  }
  assert_int_equal(dw_blend_between(b->shelf, &b->request.slab, &layer[0], &layer[1], out, NULL), DW_OK);
  return true;
}

static dw_blend blend_now(size_t first) {
  const dw_recipe none = {0};
  dw_blend blend;
  assert_true(blend_after(first, first, &none, 0, &blend));
  return blend;
}

/* How far a layer's look goes: CIEDE2000, and 40 of it for a contrast ratio that moves by 1 beyond 0.05, as advice is
 * ranked (docs/plugin-guide.md). */
static double moved(const dw_blend *from, const dw_blend *to, size_t end) {
  const double gap = fabs(from->end[end].see_through - to->end[end].see_through);
  return hypot(dw_de00(from->end[end].lab, to->end[end].lab), 40 * fmax(0, gap - 0.05));
}

/* The least change of one bottle among all there are: each bottle, either cup, every number of drops. */
static double least_of_all(void) {
  const dw_blend now = blend_now(0);
  double least = INFINITY;
  for (size_t layer = 0; layer < 2; layer++)
    for (size_t bottle = 0; bottle < b->shelf->n; bottle++)
      for (int drops = 1; drops <= 60; drops++) {
        const dw_recipe add = {1, {{bottle, drops}}};
        dw_blend after;
        if (!blend_after(0, layer, &add, 0, &after)) break;
        if (!after.muddy) least = fmin(least, moved(&now, &after, layer));
      }
  return least;
}

/* ---- clean blends -------------------------------------------------------------------------------------- */

/* Opposite colors turn dull where they meet: blue with orange brown, blue with yellow green (common practice, no
 * source). */
static const char *const pairs[][2] = {{"blue=12", "orange=16"},
                                       {"blue=12", "yellow=16"},
                                       {"red=12", "melon-green=10"},
                                       {"purple=12", "yellow=9"},
                                       {"brown=6;orange=12", "blue=6;white=4"}};

/* How far what the plugin advises takes one of two cups that turn muddy where they meet; it keeps their blend clean. */
static double moved_by_plugin(const char *const cups[2]) {
  b->request.n = 0;
  bench_cup(b, "back", cups[0], (dw_lab){40, 0, 0});
  bench_cup(b, "belly", cups[1], (dw_lab){60, 10, 20});
  b->request.clean_blends = true;
  const dw_blend before = blend_now(0);
  dw_blend after;
  assert_true(before.muddy);
  ask("blend");
  const dw_advice *advice = advice_that("turn muddy where they meet");
  assert_non_null(advice);
  assert_in_range(advice->add.n, 1, 2);
  assert_true(blend_after(0, advice->layer, &advice->add, advice->add_clear_floz, &after));
  assert_false(after.muddy);
  return moved(&before, &after, advice->layer);
}

static void test_the_least_change_that_keeps_it_clean(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
    const double by_plugin = moved_by_plugin(pairs[i]), least = least_of_all();
    print_message("%s with %s: moved by %.2f, the least there is %.2f\n", pairs[i][0], pairs[i][1], by_plugin,
                  least);
    assert_true(by_plugin <= least + 1e-6);
  }
}

/* The least change of two bottles, of either cup, up to so many drops of each. */
static double least_of_two(int most) {
  const dw_blend now = blend_now(0);
  double least = INFINITY;
  for (size_t layer = 0; layer < 2; layer++)
    for (size_t one = 0; one < b->shelf->n; one++)
      for (size_t two = one + 1; two < b->shelf->n; two++)
        for (int drops = 0; drops < most * most; drops++) {
          const dw_recipe add = {2, {{one, 1 + drops / most}, {two, 1 + drops % most}}};
          dw_blend after;
          if (blend_after(0, layer, &add, 0, &after) && !after.muddy)
            least = fmin(least, moved(&now, &after, layer));
        }
  return least;
}

static void test_near_the_least_change_of_two_bottles(void **state) {
  (void)state;
  static const char *const cups[][2] = {{"blue=6", "orange=8"}, {"red=6", "melon-green=5"}};
  for (size_t i = 0; i < 2; i++) {
    const double by_plugin = moved_by_plugin(cups[i]), one = least_of_all(), two = least_of_two(12);
    print_message("%s with %s: moved by %.2f; one bottle %.2f, two %.2f\n", cups[i][0], cups[i][1], by_plugin,
                  one, two);
    assert_true(by_plugin <= one + 1e-6);
    assert_true(by_plugin <= fmin(one, two) + 1.0);
  }
}

/* Of cups that are still empty: what the plugin nearest fills one with, beside what is advised for the other. */
static void test_recipes_are_kept_clean(void **state) {
  (void)state;
  static const dw_lab aims[][2] = {{{30, 5, -35}, {60, 40, 50}}, {{45, 50, 25}, {50, -40, 20}}};
  for (size_t i = 0; i < 2; i++) {
    dw_recipe nearest[2] = {{0}, {0}};
    b->request.n = 0;
    bench_cup(b, "back", "", aims[i][0]);
    bench_cup(b, "belly", "", aims[i][1]);
    b->request.clean_blends = true;
    ask("nearest");
    for (size_t k = 0; k < 2; k++) nearest[k] = dw_advice_first(result, k)->add;
    ask("blend");
    const dw_advice *advice = advice_that("turn muddy where they meet");
    if (!advice || !strstr(advice->words, "recipe")) {
      fail_msg("no recipe was advised");
      return;
    }
    for (size_t k = 0; k < 2; k++) b->request.layer[k].cup.drops = nearest[k];
    const dw_blend before = blend_now(0);
    assert_true(before.muddy);
    const dw_recipe none = {0};
    dw_blend after;
    b->request.layer[advice->layer].cup.drops = advice->add;
    assert_true(blend_after(0, advice->layer, &none, 0, &after));
    assert_false(after.muddy);
    print_message("recipes %zu: the %s moves by %.2f\n", i, advice->layer ? "belly" : "back",
                  moved(&before, &after, advice->layer));
  }
}

static void test_only_where_it_is_asked_for(void **state) {
  (void)state;
  bench_cup(b, "back", "blue=12", (dw_lab){30, 5, -35});
  bench_cup(b, "belly", "orange=16", (dw_lab){52, 28, 38});
  ask("blend");
  assert_int_equal(result->n, 0);
}

static void test_a_clean_blend_is_left_alone(void **state) {
  (void)state;
  bench_cup(b, "back", "orange=12;brown=4", (dw_lab){40, 25, 25});
  bench_cup(b, "belly", "yellow=12", (dw_lab){60, 0, 40});
  b->request.clean_blends = true;
  assert_false(blend_now(0).muddy);
  ask("blend");
  assert_int_equal(result->n, 0);
}

/* The middle layer has two neighbors: what cleans one blend must not spoil the other. */
static void test_the_other_neighbor_is_not_forgotten(void **state) {
  (void)state;
  bench_cup(b, "back", "blue=12", (dw_lab){30, 5, -35});
  bench_cup(b, "middle", "orange=16", (dw_lab){52, 28, 38});
  bench_cup(b, "belly", "red=10", (dw_lab){40, 30, 20});
  b->request.clean_blends = true;
  assert_true(blend_now(0).muddy && !blend_now(1).muddy);
  ask("blend");
  const dw_advice *advice = advice_that("back and middle turn muddy");
  assert_non_null(advice);
  dw_blend after;
  for (size_t first = 0; first < 2; first++) {
    assert_true(blend_after(first, advice->layer, &advice->add, 0, &after));
    assert_false(after.muddy);
  }
}

static void test_bottles_set_aside_are_not_added(void **state) {
  (void)state;
  bench_cup(b, "back", "blue=12", (dw_lab){30, 5, -35});
  bench_cup(b, "belly", "orange=16", (dw_lab){52, 28, 38});
  b->request.clean_blends = true;
  for (size_t i = 0; i < b->shelf->n; i++) b->request.rules.use[i] = DW_USE_NEVER;
  ask("blend");
  const dw_advice *advice = advice_that("turn muddy where they meet");
  assert_non_null(advice);
  assert_int_equal(advice->add.n, 0);
  assert_non_null(strstr(advice->words, "Nothing that can be added"));
}

/* ---- one that drowns the other ------------------------------------------------------------------------- */

static void check_evened(const char *strong, const char *weak) {
  b->request.n = 0;
  bench_cup(b, "back", strong, (dw_lab){85, 0, 0});
  bench_cup(b, "belly", weak, (dw_lab){60, 0, 30});
  const dw_blend before = blend_now(0);
  dw_blend after;
  assert_int_equal(before.overpowers, DW_OVERPOWERS_FIRST);
  ask("blend");
  const dw_advice *advice = advice_that("back is ");
  assert_non_null(advice);
  assert_true(dw_advice_adds(advice));
  assert_true(blend_after(0, advice->layer, &advice->add, advice->add_clear_floz, &after));
  assert_true(after.end[0].see_through - after.end[1].see_through <
              before.end[0].see_through - before.end[1].see_through - 0.01);
}

static void test_what_drowns_its_neighbor_is_evened(void **state) {
  (void)state;
  check_evened("purple=12", "yellow=9");
  check_evened("white=12", "yellow=4");
}

static void test_a_gap_that_is_wanted_is_left(void **state) {
  (void)state;
  bench_cup(b, "back", "white=30", (dw_lab){85, 0, 0})->target_see_through = 0.9;
  bench_cup(b, "belly", "yellow=2", (dw_lab){60, 0, 30})->target_see_through = 0.2;
  ask("blend");
  assert_int_equal(result->n, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      bench_test(test_the_least_change_that_keeps_it_clean),
      bench_test(test_near_the_least_change_of_two_bottles),
      bench_test(test_recipes_are_kept_clean),
      bench_test(test_only_where_it_is_asked_for),
      bench_test(test_a_clean_blend_is_left_alone),
      bench_test(test_the_other_neighbor_is_not_forgotten),
      bench_test(test_bottles_set_aside_are_not_added),
      bench_test(test_what_drowns_its_neighbor_is_evened),
      bench_test(test_a_gap_that_is_wanted_is_left),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
