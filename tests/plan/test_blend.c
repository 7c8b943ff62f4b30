/* Blends of cups and of colors: ends, symmetry, what is known of complementary colors, evening. */
#include "check.h"
#include "dropwise/plan_blend.h"

static const dw_slab slab = {10, DW_BACKING_GRAY};

static dw_shelf *starter(void) {
  dw_shelf *shelf = NULL;
  assert_int_equal(dw_shelf_starter(&shelf, NULL), DW_OK);
  return shelf;
}

static dw_blend_layer layer_of(const dw_shelf *shelf, const char *drops, const dw_lab *measured) {
  dw_cup cup = {.volume_floz = 4, .capacity_floz = 6};
  dw_blend_layer layer = {.name = "layer"};
  dw_error err = {0};
  assert_int_equal(dw_recipe_parse(drops, shelf, &cup.drops, &err), DW_OK);
  if (dw_blend_cup(shelf, &slab, &cup, measured, &layer, &err) != DW_OK) fail_msg("%s", err.text);
  return layer;
}

static dw_prediction at(const dw_shelf *shelf, const dw_blend_layer *a, const dw_blend_layer *b,
                        double share) {
  dw_prediction p;
  dw_error err = {0};
  if (dw_blend_at(shelf, &slab, a, b, share, &p, &err) != DW_OK) fail_msg("%s", err.text);
  return p;
}

static dw_blend between(const dw_shelf *shelf, const char *first, const char *second) {
  dw_blend_layer a = layer_of(shelf, first, NULL), b = layer_of(shelf, second, NULL);
  dw_blend blend;
  dw_error err = {0};
  if (dw_blend_between(shelf, &slab, &a, &b, &blend, &err) != DW_OK) fail_msg("%s", err.text);
  return blend;
}

static void assert_same(dw_lab a, dw_lab b) {
  assert_near(a.L, b.L, 1e-9);
  assert_near(a.a, b.a, 1e-9);
  assert_near(a.b, b.b, 1e-9);
}

/* ---- ends and symmetry ----------------------------------------------------------------------------------
 */

static void test_ends_are_the_cups(void **state) {
  (void)state;
  dw_shelf *shelf = starter();
  dw_prediction predicted;
  dw_recipe loadings;
  dw_lab measured = {51, 30, 42};
  dw_blend_layer a = layer_of(shelf, "orange=20;brown=6", &measured), b = layer_of(shelf, "blue=12", NULL);
  assert_same(at(shelf, &a, &b, 0).lab, measured);
  dw_cup_loadings(&b.cup, &loadings);
  assert_int_equal(dw_predict(shelf, &loadings, &slab, &predicted, NULL), DW_OK);
  assert_same(at(shelf, &a, &b, 1).lab, predicted.lab);
  assert_near(at(shelf, &a, &b, 1).see_through, predicted.see_through, 1e-12);
  dw_shelf_free(shelf);
}

static void test_color_alone_is_its_own_end(void **state) {
  (void)state;
  dw_shelf *shelf = starter();
  dw_lab first = {62, 25, 48}, second = {38, -5, -20};
  dw_blend_layer a = {0}, b = {0};
  assert_int_equal(dw_blend_color(shelf, &slab, first, &a, NULL), DW_OK);
  assert_int_equal(dw_blend_color(shelf, &slab, second, &b, NULL), DW_OK);
  assert_same(at(shelf, &a, &b, 0).lab, first);
  assert_same(at(shelf, &a, &b, 1).lab, second);
  assert_near(at(shelf, &a, &b, 0).uncertainty_de00, 0,
              1e-9); /* how strong the other is counts only in between */
  assert_true(at(shelf, &a, &b, 0.5).uncertainty_de00 > 1);
  dw_shelf_free(shelf);
}

static void test_symmetric(void **state) {
  (void)state;
  dw_shelf *shelf = starter();
  dw_lab measured = {51, 30, 42}, color = {38, -5, -20};
  dw_blend_layer a = layer_of(shelf, "orange=20;brown=6", &measured),
                 b = layer_of(shelf, "blue=12;white=2", NULL), c = {0};
  assert_int_equal(dw_blend_color(shelf, &slab, color, &c, NULL), DW_OK);
  for (int i = 0; i <= 20; i++) {
    double share = i / 20.0;
    assert_same(at(shelf, &a, &b, share).lab, at(shelf, &b, &a, 1 - share).lab);
    assert_same(at(shelf, &a, &c, share).lab, at(shelf, &c, &a, 1 - share).lab);
    assert_near(at(shelf, &a, &c, share).uncertainty_de00, at(shelf, &c, &a, 1 - share).uncertainty_de00,
                1e-9);
  }
  dw_shelf_free(shelf);
}

/* A cup blended with itself is itself, whatever the share and however much of it there is. */
static void test_itself(void **state) {
  (void)state;
  dw_shelf *shelf = starter();
  dw_lab measured = {51, 30, 42};
  dw_blend_layer a = layer_of(shelf, "orange=20;brown=6", &measured), more = a;
  more.cup.volume_floz *= 3; /* its share is stated, so the cup's size does not count */
  for (int i = 0; i <= 10; i++) assert_same(at(shelf, &a, &more, i / 10.0).lab, measured);
  dw_shelf_free(shelf);
}

/* ---- complementary colors: common practice, no source ----------------------------------------------------
 */

static dw_lch middle(const dw_blend *blend) {
  return dw_lch_from_lab(blend->step[1].lab);
}

static double lower_chroma(const dw_blend *blend) {
  return fmin(dw_lch_from_lab(blend->end[0].lab).C, dw_lch_from_lab(blend->end[1].lab).C);
}

/* C* of the step that is dullest. */
static double least_chroma(const dw_blend *blend) {
  double least = INFINITY;
  for (int i = 0; i < DW_BLEND_STEPS; i++) least = fmin(least, dw_lch_from_lab(blend->step[i].lab).C);
  return least;
}

/* Duller than both where they are colored alike; duller than the even way between them however strongly each
 * is colored (a little blue in much yellow is a lively green, livelier than a pale blue). */
static void assert_dull(const dw_shelf *shelf, const char *first, const char *second) {
  for (int i = 6; i <= 48; i += 6)
    for (int j = 6; j <= 48; j += 6) {
      char a[32], b[32];
      snprintf(a, sizeof a, "%s=%d", first, i);
      snprintf(b, sizeof b, "%s=%d", second, j);
      dw_blend blend = between(shelf, a, b);
      if (i == j && least_chroma(&blend) >= lower_chroma(&blend))
        fail_msg("%s with %s: C* %.1f, its neighbors' lower %.1f", a, b, least_chroma(&blend),
                 lower_chroma(&blend));
      for (int k = 0; k < DW_BLEND_STEPS; k++) assert_true(blend.chroma_kept[k] < 1);
    }
}

static void test_blue_and_orange_go_brown(void **state) {
  (void)state;
  dw_shelf *shelf = starter();
  dw_blend blend = between(shelf, "blue=8", "orange=32");
  char words[64];
  dw_color_words(blend.step[1].lab, words, sizeof words);
  print_message("blue and orange, equal parts: C* %.1f beside %.1f, h %.0f, %s\n", middle(&blend).C,
                lower_chroma(&blend), middle(&blend).h, words);
  assert_dull(shelf, "blue", "orange");
  assert_true(blend.muddy);
  assert_non_null(strstr(words, "brown"));
  dw_shelf_free(shelf);
}

static void test_blue_and_yellow_go_green_or_olive(void **state) {
  (void)state;
  dw_shelf *shelf = starter();
  dw_blend blend = between(shelf, "blue=12", "yellow=32");
  char words[64];
  dw_color_words(blend.step[1].lab, words, sizeof words);
  print_message("blue and yellow, equal parts: C* %.1f beside %.1f, h %.0f, %s\n", middle(&blend).C,
                lower_chroma(&blend), middle(&blend).h, words);
  assert_dull(shelf, "blue", "yellow");
  assert_true(middle(&blend).h > 90 && middle(&blend).h < 200); /* CIELAB: 90 yellow, 180 green */
  dw_shelf_free(shelf);
}

/* Neighbors on the color circle blend clean, and so do a color and a gray: nothing is lost to an opposite. */
static void test_neighbors_stay_clean(void **state) {
  (void)state;
  dw_shelf *shelf = starter();
  dw_blend orange_yellow = between(shelf, "orange=24", "yellow=24"),
           brown = between(shelf, "orange=24", "brown=12"), white = between(shelf, "blue=12", "white=12");
  assert_false(orange_yellow.muddy);
  assert_false(brown.muddy);
  assert_false(white.muddy);
  assert_true(orange_yellow.chroma_kept[1] > 0.9);
  dw_shelf_free(shelf);
}

/* ---- a layer that drowns its neighbor ---------------------------------------------------------------------
 */

static void test_overpowering_named_and_evened(void **state) {
  (void)state;
  dw_shelf *shelf = starter();
  dw_blends blends = {.slab = slab, .rules = dw_rules_default(), .n = 3};
  dw_error err = {0};
  blends.layer[0] = layer_of(shelf, "brown=10", NULL);
  blends.layer[1] = layer_of(shelf, "orange=12;white=30", NULL);
  blends.layer[2] = layer_of(shelf, "blue=1", NULL);
  for (size_t i = 0; i < 3; i++) snprintf(blends.layer[i].name, sizeof blends.layer[i].name, "layer-%zu", i);
  if (dw_blends_work(shelf, &blends, &err) != DW_OK) fail_msg("%s", err.text);
  assert_int_equal(blends.between[1].overpowers, DW_OVERPOWERS_FIRST);
  const dw_blend_even *even = &blends.even[1];
  assert_true(even->found);
  const double other = blends.between[1].end[!even->layer].see_through;
  const double before = fabs(blends.between[1].end[even->layer].see_through - other);
  const double after = fabs(even->solution.predicted.see_through - other);
  print_message("contrast ratios apart %.2f, evened %.2f by moving layer %d by %.2f\n", before, after,
                even->layer, even->moved_de00);
  assert_true(after < before);
  assert_true(!even->reached || after <= DW_OPACITY_GAP);
  /* What the maker bars, or does not have any more, evens nothing. */
  assert_true(even->solution.add.n > 0);
  const size_t first = even->solution.add.part[0].bottle;
  blends.rules.use[first] = DW_USE_NEVER;
  assert_int_equal(dw_blends_work(shelf, &blends, &err), DW_OK);
  assert_true(dw_recipe_amount(&blends.even[1].solution.add, first) == 0);
  blends.rules.use[first] = DW_USE_FREE;
  shelf->bottle[first].off_shelf = true;
  assert_int_equal(dw_blends_work(shelf, &blends, &err), DW_OK);
  assert_true(dw_recipe_amount(&blends.even[1].solution.add, first) == 0);
  blends.rules.max_bottles = 1;
  assert_int_equal(dw_blends_work(shelf, &blends, &err), DW_OK);
  for (size_t i = 0; i < blends.even[1].solution.add.n; i++) {
    const dw_blend_layer *changed = &blends.layer[1 + blends.even[1].layer];
    assert_true(dw_recipe_amount(&changed->cup.drops, blends.even[1].solution.add.part[i].bottle) > 0);
  }
  dw_shelf_free(shelf);
}

/* ---- refusals
 * ----------------------------------------------------------------------------------------------- */

static void test_refusals(void **state) {
  (void)state;
  dw_shelf *shelf = starter();
  dw_blend_layer a = layer_of(shelf, "orange=20", NULL), many[2];
  dw_cup empty = {.capacity_floz = 4};
  dw_prediction p;
  dw_error err;
  assert_int_equal(dw_blend_cup(shelf, &slab, &empty, NULL, &a, &err), DW_BAD_INPUT);
  assert_int_equal(dw_blend_at(shelf, &slab, &a, &a, 1.5, &p, &err), DW_BAD_INPUT);
  assert_int_equal(dw_blend_at(shelf, &slab, &a, &a, NAN, &p, &err), DW_BAD_INPUT);
  for (size_t i = 0; i < 2; i++) {
    many[i] = a;
    many[i].loadings.n = 0;
    for (size_t j = 0; j < 8; j++)
      dw_recipe_add(&many[i].loadings, 4 * i + j, 1); /* 12 bottles, 4 of them in both */
  }
  assert_int_equal(dw_blend_at(shelf, &slab, &many[0], &many[1], 0.5, &p, &err), DW_OK);
  shelf->bottle[shelf->n++] = shelf->bottle[0];
  dw_recipe_add(&many[1].loadings, shelf->n - 1, 1);
  assert_int_equal(dw_blend_at(shelf, &slab, &many[0], &many[1], 0.5, &p, &err), DW_BAD_INPUT);
  assert_int_equal(dw_blend_at(shelf, &slab, &many[0], &many[1], 1, &p, &err), DW_OK);
  assert_int_equal(dw_blends_work(shelf, &(dw_blends){.slab = slab, .n = 1}, &err), DW_TOO_FEW);
  dw_shelf_free(shelf);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_ends_are_the_cups),
      cmocka_unit_test(test_color_alone_is_its_own_end),
      cmocka_unit_test(test_symmetric),
      cmocka_unit_test(test_itself),
      cmocka_unit_test(test_blue_and_orange_go_brown),
      cmocka_unit_test(test_blue_and_yellow_go_green_or_olive),
      cmocka_unit_test(test_neighbors_stay_clean),
      cmocka_unit_test(test_overpowering_named_and_evened),
      cmocka_unit_test(test_refusals),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
