/* A layer and its tone: led to it from outside, left alone inside, and a target goes before. */
#include "bench_for_tests.h"
#include "dropwise/plugin.h"

/* The cup's tone: four colors around one. */
static void tone_around(dw_layer *layer, dw_lab middle) {
  const dw_lab colors[] = {{middle.L - 2, middle.a, middle.b},
                           {middle.L + 2, middle.a + 1, middle.b},
                           {middle.L, middle.a - 1, middle.b + 2},
                           {middle.L, middle.a, middle.b - 2}};
  assert_int_equal(dw_tone_fit(colors, 4, &layer->tone, NULL), DW_OK);
  layer->has_tone = true;
  strcpy(layer->tone_name, "back");
}

/* Brown lowers lightness and saturation of orange (common practice, no source), so a tone darker and duller
 * than the cup, of its hue, is reached with brown. */
static void test_leads_with_brown(void **state) {
  (void)state;
  dw_layer *layer = bench_cup(b, "back", "orange=12", (dw_lab){0, 0, 0});
  layer->no_target = true;
  tone_around(layer, (dw_lab){38, 23, 22});
  ask("natural");
  assert_true(result->n > 0 && result->state[0].leads && !result->state[0].tone.inside);
  const dw_advice *first = &result->advice[0];
  dw_tone_spot spot;
  dw_tone_place(&layer->tone, first->predicted.lab, &spot);
  assert_true(dw_recipe_amount(&first->add, (size_t)dw_shelf_find(b->shelf, "brown")) > 0);
  assert_true(spot.away_de00 < 0.5 * result->state[0].tone.away_de00);
  assert_non_null(strstr(first->words, "natural tone \"back\""));
  assert_true(fabs(first->predicted_de00 - dw_de00(first->predicted.lab, result->state[0].aim)) < 1e-9);
}

static void test_inside_is_left_alone(void **state) {
  (void)state;
  dw_layer *layer = bench_cup(b, "back", "orange=12;brown=4", (dw_lab){0, 0, 0});
  layer->no_target = true;
  layer->has_measured = true;
  layer->measured = (dw_lab){40, 24, 24};
  tone_around(layer, layer->measured);
  ask(NULL);
  assert_true(result->state[0].leave && result->state[0].tone.inside);
  assert_int_equal(result->advice[0].add.n, 0);
  assert_non_null(strstr(result->advice[0].words, "inside the natural tone"));
}

static void test_a_target_goes_before(void **state) {
  (void)state;
  dw_layer *layer = bench_cup(b, "back", "orange=12", (dw_lab){45, 25, 35});
  tone_around(layer, (dw_lab){38, 10, 12});
  ask("natural");
  assert_int_equal(result->n, 0);
  ask(NULL);
  assert_true(!result->state[0].leads && result->state[0].target_out > 2);
  assert_true(dw_de00(result->state[0].aim, layer->target) < 1e-9);
  assert_non_null(strstr(result->notes.text[0], "outside its natural tone"));
}

/* The lead is natural and keeps the hue where the tone has it; no color of the tone of that hue is nearer. */
static void test_lead(void **state) {
  (void)state;
  dw_layer layer = {0};
  tone_around(&layer, (dw_lab){40, 12, 14});
  const dw_lab bright = {55, 36, 42}, gray = {60, 1, 1}, blue = {40, 5, -40};
  const dw_lab lead = dw_tone_lead(&layer.tone, bright), of_gray = dw_tone_lead(&layer.tone, gray);
  const dw_lab of_blue = dw_tone_lead(&layer.tone, blue);
  dw_tone_spot spot;
  dw_tone_place(&layer.tone, lead, &spot);
  assert_true(fabs(spot.share - 1) < 1e-6);
  assert_true(fabs(dw_plugin_hue_turn(bright, lead)) < 1e-6);
  for (double L = 20; L < 60; L += 0.5)
    for (double C = 1; C < 50; C += 0.5) {
      const double chroma = hypot(bright.a, bright.b);
      const dw_lab other = {L, C * bright.a / chroma, C * bright.b / chroma};
      dw_tone_place(&layer.tone, other, &spot);
      if (spot.inside) assert_true(dw_de00(bright, other) > dw_de00(bright, lead) - 0.01);
    }
  dw_tone_place(&layer.tone, gray, &spot);
  assert_true(dw_de00(of_gray, spot.nearest) < 1e-9);
  dw_tone_place(&layer.tone, blue, &spot);
  assert_true(dw_de00(of_blue, spot.nearest) < 1e-9);
  assert_true(dw_de00(dw_tone_lead(&layer.tone, layer.tone.center), layer.tone.center) < 1e-9);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      bench_test(test_leads_with_brown),
      bench_test(test_inside_is_left_alone),
      bench_test(test_a_target_goes_before),
      cmocka_unit_test(test_lead),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
