/* The order of advice: better first, fewer drops between equals, the same thing once. */
#include "advise/rank.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static pt__case *c; /* large */
static pt_advice_result *out;
static pt_advice advice[200];
static size_t n;

static int begin(void **state) {
  (void)state;
  n = 0;
  memset(advice, 0, sizeof advice);
  c = calloc(1, sizeof *c);
  out = calloc(1, sizeof *out);
  if (!c || !out) return -1;
  c->view.n_layers = 2;
  return 0;
}

static int end(void **state) {
  (void)state;
  free(c);
  free(out);
  return 0;
}

static pt_advice *add(const char *plugin, size_t layer, double de00, size_t bottle, double drops) {
  pt_advice *a = &advice[n++];
  strcpy(a->plugin, plugin);
  a->layer = layer;
  a->predicted_de00 = de00;
  if (drops > 0) a->add = (pt_recipe){1, {{bottle, drops}}};
  return a;
}

static void expect(const char *const *plugins, size_t count) {
  pt__advice_rank(c, advice, n, out);
  assert_int_equal(out->n, count);
  for (size_t i = 0; i < count; i++) assert_string_equal(out->advice[i].plugin, plugins[i]);
}

static void test_by_layer_then_by_difference(void **state) {
  (void)state;
  add("a", 1, 0.5, 0, 1);
  add("b", 0, 3.0, 0, 2);
  add("c", 0, 1.0, 0, 3);
  add("d", 1, 0.1, 0, 4);
  expect((const char *[]){"c", "b", "d", "a"}, 4);
}

static void test_fewer_drops_between_equals(void **state) {
  (void)state;
  add("many", 0, 1.00, 0, 30);
  add("few", 0, 1.04, 0, 3);
  add("fewer", 0, 1.06, 0, 1); /* 0.06 from the best: no equal of it */
  expect((const char *[]){"few", "many", "fewer"}, 3);
}

static void test_the_same_is_one_and_names_both(void **state) {
  (void)state;
  add("first", 0, 1, 4, 3);
  add("second", 0, 1, 4, 3);
  add("third", 0, 1, 4, 2);
  add("fourth", 1, 1, 4, 3); /* another layer: another thing */
  expect((const char *[]){"third", "first", "fourth"}, 3);
  assert_string_equal(out->advice[1].notes.text[0], "second proposes the same.");
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
  for (size_t i = 0; i < 100; i++) add("flood", 0, 1 + 0.1 * (double)i, 0, (double)(i + 1));
  for (size_t i = 0; i < 40; i++) add("other", 1, 50 + 0.1 * (double)i, 0, (double)(i + 1));
  pt__advice_rank(c, advice, n, out);
  assert_int_equal(out->n, PT_ADVICE_MAX);
  size_t in_first = 0;
  for (size_t i = 0; i < out->n; i++) in_first += out->advice[i].layer == 0;
  assert_int_equal(in_first, PT_ADVICE_MAX / 2);
  assert_true(out->advice[0].predicted_de00 == 1);
  assert_non_null(strstr(out->notes.text[0], "76 further proposals"));
}

/* Asked for a duller color, the nearer to that one is the better, whatever the target. */
static void test_asked_for_duller(void **state) {
  (void)state;
  c->view.chroma_share = 0.3;
  c->layer[0].dull_target = (pt_lab){50, 20, 20};
  add("bright", 0, 0.1, 0, 1)->predicted.lab = (pt_lab){50, 40, 40};
  add("dull", 0, 9.0, 0, 2)->predicted.lab = (pt_lab){42, 20, 20};
  expect((const char *[]){"dull", "bright"}, 2);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_by_layer_then_by_difference, begin, end),
      cmocka_unit_test_setup_teardown(test_fewer_drops_between_equals, begin, end),
      cmocka_unit_test_setup_teardown(test_the_same_is_one_and_names_both, begin, end),
      cmocka_unit_test_setup_teardown(test_clear_base_tells_apart, begin, end),
      cmocka_unit_test_setup_teardown(test_layers_share_the_room, begin, end),
      cmocka_unit_test_setup_teardown(test_asked_for_duller, begin, end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
