/* Requests that make no sense are refused in words; those that do become what plugins are shown. */
#include "advise/prepare.h"
#include "bench_for_tests.h"

static dw__case *c;

static int begin(void **state) {
  c = calloc(1, sizeof *c);
  return bench_begin(state) == 0 && c && bench_cup(b, "back", "orange=12;brown=4", (dw_lab){45, 25, 35}) ? 0
                                                                                                         : -1;
}

static int end(void **state) {
  free(c);
  return bench_end(state);
}

static void refused(const char *says) {
  dw_error err = {0};
  dw_advice_result *out = NULL;
  assert_int_equal(dw_advise(&b->request, &b->plugins, &out, &err), DW_BAD_INPUT);
  assert_null(out);
  if (!strstr(err.text, says)) fail_msg("'%s' does not say '%s'", err.text, says);
}

static void test_requests_without_sense(void **state) {
  (void)state;
  dw_advice_request good = b->request;
  b->request.n = 0;
  refused("1 to 8 layers");
  b->request.n = DW_LAYERS_MAX + 1;
  refused("1 to 8 layers");
  b->request = good, b->request.chroma_share = NAN;
  refused("share from 0 to 1");
  b->request = good, b->request.rules.step_drops = 0, b->request.rules.step_ml = 0;
  refused("step");
  b->request = good, b->request.layer[0].target.a = NAN;
  refused("Layer back");
  b->request = good, b->request.layer[0].has_measured = true, b->request.layer[0].measured.L = INFINITY;
  refused("Layer back");
  b->request = good, b->request.slab.thickness_mm = -1;
  refused("thickness");
  b->request = good, memset(b->request.layer[0].name, 'x', sizeof b->request.layer[0].name);
  refused("name");
}

static void test_cups_without_sense(void **state) {
  (void)state;
  dw_advice_request good = b->request;
  dw_cup *cup = &b->request.layer[0].cup;
  cup->volume_floz = 0;
  refused("layer back holds 0 fl oz");
  b->request = good, cup->volume_floz = NAN;
  refused("layer back");
  b->request = good, cup->capacity_floz = 3;
  refused("capacity");
  b->request = good, cup->drops.part[0].bottle = 99;
  refused("not on the shelf");
  b->request = good, cup->drops.part[0].amount = -2;
  refused("-2 drops of orange");
  b->request = good, cup->drops.n = 1000;
  refused("1000 bottles");
}

static void test_an_unknown_plugin_is_named(void **state) {
  (void)state;
  dw_error err = {0};
  dw_advice_result *out = NULL;
  const char *only = "no-such";
  b->request.only = &only;
  b->request.n_only = 1;
  assert_int_equal(dw_advise(&b->request, &b->plugins, &out, &err), DW_NOT_FOUND);
  assert_non_null(strstr(err.text, "no-such"));
}

static void test_no_plugins_is_said(void **state) {
  (void)state;
  b->plugins.n = 0;
  dw_advice_result *out = bench_ask(b, NULL);
  assert_int_equal(out->n, 0);
  assert_int_equal(out->notes.n, 1);
  dw_advice_result_free(out);
}

/* What was measured stays what the cup is now; the prediction starts from there. */
static void test_a_measurement_is_carried(void **state) {
  (void)state;
  dw_layer *layer = &b->request.layer[0];
  dw_prediction p;
  layer->has_measured = true;
  layer->measured = (dw_lab){44, 31, 28};
  assert_int_equal(dw__case_make(&b->request, c, NULL), DW_OK);
  assert_int_equal(dw__case_predict(c, 0, &(dw_recipe){0}, 0, &p, NULL), DW_OK);
  assert_true(dw_de00(p.lab, layer->measured) < 1e-9);
  assert_true(dw_de00(c->state[0].now, layer->measured) == 0);
  assert_true(dw_de00(c->state[0].predicted_now.lab, layer->measured) > 1);
}

static void test_dulling_asked_for(void **state) {
  (void)state;
  b->request.chroma_share = 0.3;
  assert_int_equal(dw__case_make(&b->request, c, NULL), DW_OK);
  const dw_layer_view *view = &c->layer[0];
  assert_true(fabs(dw_plugin_chroma(view->dull_target) - 0.7 * dw_plugin_chroma(view->now)) < 1e-9);
  assert_true(fabs(dw_plugin_hue_turn(view->dull_target, view->now)) < 1e-9);
  assert_true(view->dull_target.L <=
              view->now.L); /* brown darkens (common practice, no source), within bounds */
  assert_true(view->dull_target.L >= view->now.L - 10);
  assert_true(dw_de00(view->target, view->dull_target) == 0); /* it is the aim, and distances are to it */
  assert_true(dw_de00(c->state[0].aim, view->dull_target) == 0);
}

/* A cup is enough to dull it; without a cup, bait or target there is nothing to dull. */
static void test_dulling_needs_no_target(void **state) {
  (void)state;
  dw_layer *layer = &b->request.layer[0];
  b->request.chroma_share = 0.3;
  assert_int_equal(dw__case_make(&b->request, c, NULL), DW_OK);
  const dw_lab aim = c->state[0].aim;
  layer->no_target = true;
  layer->target = (dw_lab){NAN, NAN, NAN};
  assert_int_equal(dw__case_make(&b->request, c, NULL), DW_OK);
  assert_true(dw_de00(c->state[0].aim, aim) == 0);
  layer->cup.drops.n = 0;
  refused("Layer back has no target");
}

/* Drops have a volume, too: a cup that they make run over is full, which is no slip of the maker's. */
static void test_a_cup_filled_by_its_drops_is_full(void **state) {
  (void)state;
  b->request.layer[0].cup.capacity_floz = 4;
  assert_int_equal(dw__case_make(&b->request, c, NULL), DW_OK);
  assert_true(fabs(c->layer[0].room_floz) < 1e-9);
  dw_advice_result *out = bench_ask(b, NULL);
  assert_non_null(out);
  assert_non_null(strstr(out->notes.text[0], "The cup of \"back\" is full"));
  for (size_t i = 0; i < out->n; i++) assert_int_equal(out->advice[i].add.n, 0);
  dw_advice_result_free(out);
}

/* Nothing added to a bait whose cup is not known is that bait again, not clear base. */
static void test_the_same_again(void **state) {
  (void)state;
  dw_layer *layer = &b->request.layer[0];
  dw_prediction p;
  layer->cup.drops.n = 0;
  layer->has_measured = true;
  layer->measured = (dw_lab){44, 31, 28};
  assert_int_equal(dw__case_make(&b->request, c, NULL), DW_OK);
  assert_int_equal(dw__case_predict(c, 0, &(dw_recipe){0}, 0, &p, NULL), DW_OK);
  assert_true(dw_de00(p.lab, layer->measured) == 0);
  assert_int_equal(dw__case_predict(c, 0, &(dw_recipe){1, {{0, 3}}}, 0, &p, NULL), DW_OK);
  assert_true(dw_de00(p.lab, layer->measured) > 1);
}

/* Without a wish the target decides: duller and of about the same hue, or nothing to dull. */
static void test_dulling_by_the_target(void **state) {
  (void)state;
  dw_lab *target = &b->request.layer[0].target;
  assert_int_equal(dw__case_make(&b->request, c, NULL), DW_OK);
  dw_lab now = c->layer[0].now;
  const struct {
    dw_lab target;
    bool duller;
  } rows[] = {{{now.L, now.a * 0.6, now.b * 0.6}, true},
              {{now.L, 0.5, 0.5}, true},
              {{now.L, now.a * 1.3, now.b * 1.3}, false},
              {{now.L, -now.a * 0.6, -now.b * 0.6}, false},
              {now, false}};
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    *target = rows[i].target;
    assert_int_equal(dw__case_make(&b->request, c, NULL), DW_OK);
    assert_int_equal(c->layer[0].dull_share > 0, rows[i].duller);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_requests_without_sense, begin, end),
      cmocka_unit_test_setup_teardown(test_cups_without_sense, begin, end),
      cmocka_unit_test_setup_teardown(test_an_unknown_plugin_is_named, begin, end),
      cmocka_unit_test_setup_teardown(test_no_plugins_is_said, begin, end),
      cmocka_unit_test_setup_teardown(test_a_measurement_is_carried, begin, end),
      cmocka_unit_test_setup_teardown(test_dulling_asked_for, begin, end),
      cmocka_unit_test_setup_teardown(test_dulling_by_the_target, begin, end),
      cmocka_unit_test_setup_teardown(test_dulling_needs_no_target, begin, end),
      cmocka_unit_test_setup_teardown(test_a_cup_filled_by_its_drops_is_full, begin, end),
      cmocka_unit_test_setup_teardown(test_the_same_again, begin, end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
