/* The order of advice: nearer first, less work between those nobody can tell apart, the same thing once. */
#include "advise/rank.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static dw__case *c; /* large */
static dw_advice_result *out;
static dw_advice advice[200];
static size_t n;
enum { BROWN = 9 };

static int begin(void **state) {
  (void)state;
  n = 0;
  memset(advice, 0, sizeof advice);
  c = calloc(1, sizeof *c);
  out = calloc(1, sizeof *out);
  if (!c || !out) return -1;
  c->view.n_layers = 2;
  for (size_t i = 0; i < 2; i++) c->layer[i].target_see_through = -1;
  c->bottle[BROWN].role = DW_BOTTLE_BROWN;
  return 0;
}

static int end(void **state) {
  (void)state;
  free(c);
  free(out);
  return 0;
}

static dw_advice *add(const char *plugin, size_t layer, double de00, size_t bottle, double drops) {
  dw_advice *a = &advice[n++];
  strcpy(a->plugin, plugin);
  a->layer = layer;
  a->predicted_de00 = de00;
  if (drops > 0) a->add = (dw_recipe){1, {{bottle, drops}}};
  return a;
}

static void expect(const char *const *plugins, size_t count) {
  dw__advice_rank(c, advice, n, out);
  assert_int_equal(out->n, count);
  for (size_t i = 0; i < count; i++) assert_string_equal(out->advice[i].plugin, plugins[i]);
}

static void test_by_layer_then_by_difference(void **state) {
  (void)state;
  add("a", 1, 0.9, 0, 1);
  add("b", 0, 3.0, 0, 2);
  add("c", 0, 1.0, 0, 3);
  add("d", 1, 0.1, 0, 4);
  expect((const char *[]){"c", "b", "d", "a"}, 4);
}

/* Half a CIEDE2000 can't be told apart, so the fewer bottles win, then the fewer drops; beyond it the nearer.
 */
static void test_less_work_between_equals(void **state) {
  (void)state;
  dw_recipe_add(&add("nearest", 0, 0.14, 0, 14)->add, 1, 1);
  add("clear", 0, 0.20, 0, 2)->add_clear_floz = 0.9;
  add("many", 0, 0.30, 0, 23);
  add("few", 0, 0.60, 0, 7);
  add("fewer", 0, 0.65, 0, 1); /* 0.51 from the nearest */
  expect((const char *[]){"few", "many", "nearest", "clear", "fewer"}, 5);
}

/* Where the photo can't tell more, more is equal; but never more than an eye can tell side by side. */
static void test_doubt_makes_equal(void **state) {
  (void)state;
  add("near", 0, 0.2, 0, 30);
  add("few", 0, 1.1, 0, 3);
  add("fewer", 0, 1.3, 0, 1);
  c->layer[0].measured = 1;
  c->layer[0].n_drops = 1;
  c->layer[0].now_uncertainty_de00 = 0.3;
  for (size_t i = 0; i < n; i++) advice[i].predicted.uncertainty_de00 = 5; /* the measurement says more */
  expect((const char *[]){"near", "fewer", "few"}, 3);
  c->layer[0].now_uncertainty_de00 = 5;
  expect((const char *[]){"few", "near", "fewer"}, 3);
  c->layer[0].now_uncertainty_de00 = 0;
  c->layer[0].measured = 0;
  expect((const char *[]){"few", "near", "fewer"}, 3);
}

static void test_leaving_it_is_the_least_work(void **state) {
  (void)state;
  add("one drop", 0, 0.3, 0, 1);
  add("leave", 0, 0.6, 0, 0);
  expect((const char *[]){"leave", "one drop"}, 2);
}

/* Brown first where it dulls (common practice, no source), if the end is as good. */
static void test_brown_dulls_first(void **state) {
  (void)state;
  c->layer[0].n_drops = 1;
  add("blue", 0, 0.2, 0, 2);
  add("brown", 0, 0.6, BROWN, 7);
  add("far brown", 0, 2.6, BROWN, 3);
  expect((const char *[]){"blue", "brown", "far brown"}, 3);
  c->layer[0].dull_share = 0.2;
  expect((const char *[]){"brown", "blue", "far brown"}, 3);
}

/* Of its many equal ways a plugin shows the one that is least work, and the nearest of all. */
static void test_a_plugin_is_heard_once_among_equals(void **state) {
  (void)state;
  add("one", 0, 0.10, 0, 30);
  add("one", 0, 0.20, 0, 20);
  add("one", 0, 0.30, 0, 10);
  add("two", 0, 0.40, 0, 15);
  add("one", 0, 2.00, 0, 1);
  expect((const char *[]){"one", "two", "one", "one"}, 4);
  assert_true(out->advice[0].predicted_de00 == 0.30);
  assert_true(out->advice[2].predicted_de00 == 0.10);
}

/* A contrast ratio that is asked for counts, too. */
static void test_see_through_counts(void **state) {
  (void)state;
  c->layer[0].target_see_through = 0.5;
  add("color", 0, 0.5, 0, 1)->predicted.see_through = 0.9;
  add("both", 0, 3.0, 0, 2)->predicted.see_through = 0.52;
  expect((const char *[]){"both", "color"}, 2);
}

static void test_the_same_is_one_and_names_both(void **state) {
  (void)state;
  add("first", 0, 1, 4, 3);
  add("second", 0, 1, 4, 3);
  add("third", 0, 1, 4, 2);
  add("fourth", 1, 1, 4, 3); /* another layer: another thing */
  expect((const char *[]){"third", "first", "fourth"}, 3);
  assert_int_equal(out->advice[1].n_also, 1);
  assert_string_equal(out->advice[1].also[0], "second");
}

static void test_clear_base_tells_apart(void **state) {
  (void)state;
  add("leave", 0, 1, 0, 0);
  add("thin", 0, 1, 0, 0)->add_clear_floz = 0.5;
  expect((const char *[]){"leave", "thin"}, 2);
}

/* One plugin that floods the answer must not crowd another layer out. */
static void test_layers_share_the_room(void **state) {
  (void)state;
  for (size_t i = 0; i < 100; i++) add("flood", 0, 1 + (double)i, 0, (double)(i + 1));
  for (size_t i = 0; i < 40; i++) add("other", 1, 50 + (double)i, 0, (double)(i + 1));
  dw__advice_rank(c, advice, n, out);
  assert_int_equal(out->n, DW_ADVICE_MAX);
  size_t in_first = 0;
  for (size_t i = 0; i < out->n; i++) in_first += out->advice[i].layer == 0;
  assert_int_equal(in_first, DW_ADVICE_MAX / 2);
  assert_true(out->advice[0].predicted_de00 == 1);
  assert_non_null(strstr(out->notes.text[0], "76 further proposals"));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_by_layer_then_by_difference, begin, end),
      cmocka_unit_test_setup_teardown(test_less_work_between_equals, begin, end),
      cmocka_unit_test_setup_teardown(test_doubt_makes_equal, begin, end),
      cmocka_unit_test_setup_teardown(test_leaving_it_is_the_least_work, begin, end),
      cmocka_unit_test_setup_teardown(test_brown_dulls_first, begin, end),
      cmocka_unit_test_setup_teardown(test_a_plugin_is_heard_once_among_equals, begin, end),
      cmocka_unit_test_setup_teardown(test_see_through_counts, begin, end),
      cmocka_unit_test_setup_teardown(test_the_same_is_one_and_names_both, begin, end),
      cmocka_unit_test_setup_teardown(test_clear_base_tells_apart, begin, end),
      cmocka_unit_test_setup_teardown(test_layers_share_the_room, begin, end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
