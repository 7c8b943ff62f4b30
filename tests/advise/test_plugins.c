/* What each plugin's advice must be good for, judged by the host's own predictions. */
#include "bench_for_tests.h"
#include "dropwise/plugin.h"

static dw_lab color_of(const char *loadings) {
  dw_recipe recipe;
  dw_prediction p;
  assert_int_equal(dw_recipe_parse(loadings, b->shelf, &recipe, NULL), DW_OK);
  assert_int_equal(dw_predict(b->shelf, &recipe, &b->request.slab, &p, NULL), DW_OK);
  return p.lab;
}

static double see_through_of(const char *loadings) {
  dw_recipe recipe;
  dw_prediction p;
  assert_int_equal(dw_recipe_parse(loadings, b->shelf, &recipe, NULL), DW_OK);
  assert_int_equal(dw_predict(b->shelf, &recipe, &b->request.slab, &p, NULL), DW_OK);
  return p.see_through;
}

/* The best advice for a layer; NULL when there is none. */
static const dw_advice *best(size_t layer) {
  for (size_t i = 0; i < result->n; i++)
    if (result->advice[i].layer == layer) return &result->advice[i];
  return NULL;
}

static double drops_of(const dw_advice *advice, const char *bottle) {
  return dw_recipe_amount(&advice->add, (size_t)dw_shelf_find(b->shelf, bottle));
}

/* ---- nearest ---------------------------------------------------------------------------------------- */

/* A cup with the color and the contrast ratio of a mixture as its target. */
static void mixture(const char *name, const char *drops, const char *loadings) {
  bench_cup(b, name, drops, color_of(loadings))->target_see_through = see_through_of(loadings);
}

/* Targets that are mixtures of the shelf can be reached: within 1.0 after whole drops. */
static void test_nearest_reaches_what_the_shelf_can(void **state) {
  (void)state;
  mixture("back", "brown=4;orange=6", "brown=3;orange=4;black=0.25");
  mixture("side", "orange=6", "orange=4;brown=1");
  mixture("belly", "", "white=1;yellow=1;pink=0.5");
  ask("nearest");
  for (size_t i = 0; i < 3; i++) {
    if (!best(i)) fail_msg("no advice for layer %zu", i);
    if (best(i)->predicted_de00 > 1.0) fail_msg("layer %zu ends %.2f off", i, best(i)->predicted_de00);
  }
}

static void test_nearest_says_what_is_out_of_reach(void **state) {
  (void)state;
  bench_cup(b, "back", "orange=12", (dw_lab){60, 90, 90});
  ask("nearest");
  assert_true(best(0)->predicted_de00 > 2);
  assert_non_null(strstr(best(0)->words, "as near as it can come"));
  assert_true(warned(best(0), "Nothing on the shelf makes it strong enough"));
}

static void test_nearest_leaves_what_is_right(void **state) {
  (void)state;
  dw_layer *layer = bench_cup(b, "back", "orange=12;brown=4", color_of("orange=3;brown=1"));
  layer->target.L += 0.5;
  ask("nearest");
  assert_int_equal(result->n, 1);
  assert_int_equal(best(0)->add.n, 0);
  assert_non_null(strstr(best(0)->words, "Leave it"));
}

static void test_nearest_doubts_the_photo(void **state) {
  (void)state;
  dw_layer *layer = bench_cup(b, "back", "orange=12;brown=4", color_of("orange=3;brown=1.5"));
  layer->has_measured = true;
  layer->measured = color_of("orange=3;brown=1");
  layer->measured_uncertainty_de00 = 20;
  ask("nearest");
  assert_int_equal(best(0)->add.n, 0);
  assert_true(result->state[0].leave);
  assert_non_null(strstr(best(0)->words, "Leave it: it is"));
  assert_non_null(strstr(best(0)->words, "can't tell less than"));
}

static void test_a_full_cup_is_said(void **state) {
  (void)state;
  dw_layer *layer = bench_cup(b, "back", "orange=12;brown=4", color_of("orange=3;brown=3"));
  layer->cup.capacity_floz = dw_cup_filled_floz(&layer->cup, b->shelf);
  ask("nearest");
  assert_int_equal(best(0)->add.n, 0);
  assert_true(warned(best(0), "The cup has no room"));
}

/* Too much brown: the nearest that can be reached is offered, however many bottles may be in the cup. */
static void test_nearest_brings_a_browned_cup_back(void **state) {
  (void)state;
  dw_layer *layer = bench_cup(b, "back", "orange=28;brown=12", (dw_lab){46.4, 23, 26});
  layer->has_measured = true;
  layer->measured = (dw_lab){40, 16, 20};
  b->request.rules.max_bottles = 2;
  ask("nearest");
  assert_true(drops_of(best(0), "orange") > 0);
  assert_true(best(0)->predicted_de00 < 4.5);
  assert_non_null(strstr(best(0)->words, "with its own bottles"));
  const double with_two = best(0)->predicted_de00;
  b->request.rules.max_bottles = 4;
  ask("nearest");
  assert_true(best(0)->predicted_de00 <= with_two);
}

/* What goes in is what the words say: "own" is said of nothing that is not in the cup. */
static void test_own_bottles_are_in_the_cup(void **state) {
  (void)state;
  const char *const cups[] = {"orange=12;brown=2", "orange=12", "white=20;brown=30", "yellow=6;blue=2"};
  const dw_lab targets[] = {{45, 22, 30}, {70, 5, 40}, {30, 5, -20}, {67, 7, 20}};
  for (size_t k = 0; k < 16; k++) {
    b->request.n = 0;
    dw_layer *layer = bench_cup(b, "cup", cups[k % 4], targets[k / 4]);
    ask("nearest");
    for (size_t i = 0; i < result->n; i++) {
      const dw_advice *a = &result->advice[i];
      const bool own = strstr(a->words, "its own bottles"), clear = strstr(a->words, "clear base");
      for (size_t j = 0; own && j < a->add.n; j++)
        assert_true(dw_recipe_amount(&layer->cup.drops, a->add.part[j].bottle) > 0);
      if (own || clear) assert_int_equal(clear, a->add_clear_floz > 0);
    }
  }
}

/* A bait that is right, its cup not told: pour it again, with no word of what an empty cup looks like. */
static void test_a_right_bait_is_poured_again(void **state) {
  (void)state;
  dw_layer *layer = bench_cup(b, "back", "", (dw_lab){46.4, 23, 26});
  layer->has_measured = true;
  layer->measured = (dw_lab){46.5, 23, 26};
  ask(NULL);
  assert_int_equal(result->n, 1);
  assert_int_equal(result->notes.n, 0);
  assert_int_equal(best(0)->notes.n, 0);
  assert_int_equal(best(0)->add.n, 0);
  assert_non_null(strstr(best(0)->words, "Pour the same again"));
  assert_true(best(0)->predicted_de00 < 0.2);
  layer->measured = (dw_lab){52, 30, 34};
  ask(NULL);
  assert_true(best(0)->add.n > 0);
  assert_non_null(strstr(result->notes.text[0], "a recipe for a fresh cup"));
}

/* Fewer bottles that end as well as anyone can tell are what is proposed first. */
static void test_few_bottles_come_first(void **state) {
  (void)state;
  bench_cup(b, "belly", "", (dw_lab){67.7, 6.8, 19.5});
  ask("nearest");
  assert_true(result->n > 1);
  assert_true(best(0)->add.n < result->advice[1].add.n);
  assert_true(best(0)->predicted_de00 < result->advice[1].predicted_de00 + 0.5);
}

/* A cup past help: what to do instead, the least waste first, each as near as it says. */
static void test_a_hopeless_cup_is_told_what_else(void **state) {
  (void)state;
  bench_cup(b, "belly", "white=20;brown=30", (dw_lab){67, 7, 20});
  dw_layer *full = bench_cup(b, "side", "orange=28", (dw_lab){45, 22, 30});
  full->cup.capacity_floz = 4;
  bench_cup(b, "back", "orange=12;brown=2", (dw_lab){42, 27, 29});
  ask(NULL);
  const dw_layer_state *at = result->state;
  assert_int_equal(at[0].n_instead, 2);
  assert_int_equal(at[0].instead[0].way, DW_WAY_PART);
  assert_int_equal(at[0].instead[1].way, DW_WAY_FRESH);
  assert_int_equal(at[1].instead[0].way, DW_WAY_BIGGER);
  assert_true(at[1].instead[0].capacity_floz > 4 && at[1].instead[0].capacity_floz < 5);
  assert_int_equal(at[2].n_instead, 0);
  for (size_t i = 0; i < 2; i++)
    for (size_t k = 0; k < at[i].n_instead; k++) {
      const dw_instead *way = &at[i].instead[k];
      dw_cup cup = {.volume_floz = way->keep_floz + way->base_floz};
      for (size_t j = 0; j < b->request.layer[i].cup.drops.n; j++) {
        const dw_part *part = &b->request.layer[i].cup.drops.part[j];
        dw_recipe_add(&cup.drops, part->bottle, part->amount * way->keep_floz / 4);
      }
      for (size_t j = 0; j < way->add.n; j++)
        dw_recipe_add(&cup.drops, way->add.part[j].bottle, way->add.part[j].amount);
      dw_recipe loadings;
      dw_prediction p;
      dw_cup_loadings(&cup, &loadings);
      assert_int_equal(dw_predict(b->shelf, &loadings, &b->request.slab, &p, NULL), DW_OK);
      assert_true(dw_de00(p.lab, at[i].aim) < 1);
      assert_true(fabs(way->predicted_de00 - dw_de00(p.lab, at[i].aim)) < 0.01);
    }
}

/* ---- browning, counter ------------------------------------------------------------------------------ */

/* Brown lowers both lightness and chroma of orange, yellow and red (common practice, no source). The hue is
 * held or the words say that it is not. */
static void test_browning_dulls(void **state) {
  (void)state;
  bench_cup(b, "orange", "orange=16", (dw_lab){52, 28, 38});
  bench_cup(b, "yellow", "yellow=16", (dw_lab){72, 6, 45});
  bench_cup(b, "red", "red=12", (dw_lab){45, 40, 20});
  b->request.chroma_share = 0.3;
  ask("browning");
  for (size_t i = 0; i < 3; i++) {
    if (!best(i)) fail_msg("no advice for %s", b->request.layer[i].name);
    dw_lab now = result->state[i].now, then = best(i)->predicted.lab;
    assert_true(drops_of(best(i), "brown") > 0);
    assert_true(then.L < now.L);
    assert_true(dw_plugin_chroma(then) < dw_plugin_chroma(now));
    double turn = fabs(dw_plugin_hue_turn(now, then));
    if (turn > 5.5 && !warned(best(i), "hue can't be held"))
      fail_msg("turns by %.1f and does not say so", turn);
  }
  assert_true(fabs(1 - dw_plugin_chroma(best(0)->predicted.lab) / dw_plugin_chroma(result->state[0].now) -
                   0.3) < 0.05);
}

/* Blue needs no brown where the bright blue is wanted (common practice, no source). */
static void test_a_bright_blue_gets_no_brown(void **state) {
  (void)state;
  bench_cup(b, "tip", "blue=10", color_of("blue=5"));
  ask(NULL);
  for (size_t i = 0; i < result->n; i++) assert_true(drops_of(&result->advice[i], "brown") == 0);
  dw_layer *layer = &b->request.layer[0];
  layer->target = color_of("blue=2.5"); /* as it is */
  ask(NULL);
  for (size_t i = 0; i < result->n; i++) assert_true(drops_of(&result->advice[i], "brown") == 0);
}

static void test_no_brown_bottle_no_browning(void **state) {
  (void)state;
  bench_cup(b, "back", "orange=16", (dw_lab){52, 28, 38});
  b->request.chroma_share = 0.3;
  b->request.rules.use[dw_shelf_find(b->shelf, "brown")] = DW_USE_NEVER;
  ask("browning");
  assert_int_equal(result->n, 0);
}

/* Half of its chroma gone, brown would darken an orange by more than ten. */
static void test_counter_darkens_less_than_brown(void **state) {
  (void)state;
  bench_cup(b, "back", "orange=16", (dw_lab){52, 28, 38});
  b->request.chroma_share = 0.5;
  ask("browning");
  double browned = best(0)->predicted.lab.L;
  assert_true(browned < result->state[0].now.L - 10);
  ask("counter");
  dw_lab now = result->state[0].now, then = best(0)->predicted.lab;
  assert_true(drops_of(best(0), "brown") == 0);
  assert_true(then.L > browned + 2);
  assert_true(dw_plugin_chroma(then) < 0.6 * dw_plugin_chroma(now));
  assert_true(fabs(dw_plugin_hue_turn(now, then)) < 6);
}

/* Asked to be duller, a cup gets brown first, as the trade does it (common practice, no source), and all
 * distances are to the duller color, whatever target was given. */
static void test_brown_is_the_first_to_dull(void **state) {
  (void)state;
  bench_cup(b, "back", "orange=20", (dw_lab){52, 30, 44});
  b->request.chroma_share = 0.25;
  ask(NULL);
  const dw_layer_state *at = &result->state[0];
  assert_true(fabs(1 - dw_plugin_chroma(at->aim) / dw_plugin_chroma(at->now) - 0.25) < 1e-9);
  assert_true(fabs(dw_plugin_hue_turn(at->aim, at->now)) < 1e-9);
  assert_true(drops_of(best(0), "brown") > 0);
  assert_int_equal(best(0)->add.n, 1);
  assert_true(best(0)->predicted_de00 < 1.5);
  for (size_t i = 0; i < result->n; i++)
    assert_true(fabs(result->advice[i].predicted_de00 - dw_de00(result->advice[i].predicted.lab, at->aim)) <
                1e-9);
}

static void test_dulling_only_where_it_is_wanted(void **state) {
  (void)state;
  bench_cup(b, "back", "orange=12;brown=4", color_of("orange=5")); /* brighter is wanted */
  ask("browning");
  assert_int_equal(result->n, 0);
  ask("counter");
  assert_int_equal(result->n, 0);
}

/* ---- clearness -------------------------------------------------------------------------------------- */

/* More clear base raises see-through (common practice, no source). */
static void test_clearness_goes_both_ways(void **state) {
  (void)state;
  dw_layer *clear = bench_cup(b, "belly", "melon-green=12", (dw_lab){45, -25, 15});
  dw_layer *dense = bench_cup(b, "back", "melon-green=4", (dw_lab){45, -25, 15});
  clear->cup.capacity_floz = 8;
  clear->target_see_through = 0.25;
  dense->target_see_through = 0.8;
  ask("clearness");
  assert_true(best(0)->add_clear_floz > 0);
  assert_true(best(0)->predicted.see_through < result->state[0].see_through);
  assert_true(best(1)->predicted.see_through > result->state[1].see_through);
  assert_true(fabs(best(1)->predicted.see_through - 0.8) < 0.05);
  for (size_t i = 0; i < 2; i++) {
    double turn = fabs(dw_plugin_hue_turn(result->state[i].now, best(i)->predicted.lab));
    if (turn > 6) fail_msg("the hue of layer %zu turns by %.1f", i, turn);
  }
}

static void test_clearness_keeps_quiet(void **state) {
  (void)state;
  bench_cup(b, "belly", "white=8", (dw_lab){80, 0, 0});
  ask("clearness");
  assert_int_equal(result->n, 0);
}

/* ---- apart ------------------------------------------------------------------------------------------ */

static void test_apart_parts_neighbors(void **state) {
  (void)state;
  bench_cup(b, "back", "orange=12;brown=4", (dw_lab){40, 25, 25});
  bench_cup(b, "side", "orange=12;brown=5", (dw_lab){52, 28, 38});
  ask("apart");
  assert_int_equal(result->n, 1);
  const dw_advice *advice = &result->advice[0];
  dw_lab other = result->state[advice->layer == 0 ? 1 : 0].now;
  assert_true(dw_de00(result->state[0].now, result->state[1].now) < 8);
  assert_true(dw_de00(advice->predicted.lab, other) >= 8);
  assert_true(warned(advice, "below 8 they run into one color"));
}

static void test_apart_keeps_quiet(void **state) {
  (void)state;
  bench_cup(b, "back", "orange=12;brown=12", (dw_lab){40, 25, 25});
  bench_cup(b, "side", "yellow=12;white=4", (dw_lab){52, 28, 38});
  bench_cup(b, "new", "", (dw_lab){52, 28, 38});
  ask("apart");
  assert_int_equal(result->n, 0);
}

/* ---- template --------------------------------------------------------------------------------------- */

/* A lesson, not an adviser: asked only when it is named. */
static void test_template_waits_to_be_named(void **state) {
  (void)state;
  bench_cup(b, "back", "orange=12;brown=4", color_of("orange=3;brown=1.5"));
  ask(NULL);
  for (size_t i = 0; i < result->n; i++) {
    assert_string_not_equal(result->advice[i].plugin, "template");
    for (size_t k = 0; k < result->advice[i].n_also; k++)
      assert_string_not_equal(result->advice[i].also[k], "template");
  }
  for (size_t i = 0; i < b->plugins.n; i++)
    assert_int_equal(b->plugins.entry[i].only_named, strcmp(b->plugins.entry[i].id, "template") == 0);
}

static void test_template_proposes_one_drop_that_helps(void **state) {
  (void)state;
  bench_cup(b, "back", "orange=12;brown=4", color_of("orange=3;brown=1.5"));
  ask("template");
  assert_int_equal(result->n, 1);
  assert_true(drops_of(best(0), "brown") == 1);
  assert_true(best(0)->predicted_de00 < result->state[0].now_de00);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      bench_test(test_nearest_reaches_what_the_shelf_can),
      bench_test(test_nearest_says_what_is_out_of_reach),
      bench_test(test_nearest_leaves_what_is_right),
      bench_test(test_nearest_doubts_the_photo),
      bench_test(test_a_full_cup_is_said),
      bench_test(test_nearest_brings_a_browned_cup_back),
      bench_test(test_own_bottles_are_in_the_cup),
      bench_test(test_a_right_bait_is_poured_again),
      bench_test(test_few_bottles_come_first),
      bench_test(test_a_hopeless_cup_is_told_what_else),
      bench_test(test_brown_is_the_first_to_dull),
      bench_test(test_template_waits_to_be_named),
      bench_test(test_browning_dulls),
      bench_test(test_a_bright_blue_gets_no_brown),
      bench_test(test_no_brown_bottle_no_browning),
      bench_test(test_counter_darkens_less_than_brown),
      bench_test(test_dulling_only_where_it_is_wanted),
      bench_test(test_clearness_goes_both_ways),
      bench_test(test_clearness_keeps_quiet),
      bench_test(test_apart_parts_neighbors),
      bench_test(test_apart_keeps_quiet),
      bench_test(test_template_proposes_one_drop_that_helps),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
