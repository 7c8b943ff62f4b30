/* The contract every plugin keeps, over each .so of a folder (test_contract FOLDER; else the plugins built
 * here): it loads, its id is its own, and on every request it answers in time, the same each time, within all
 * limits, in whole sentences, with predictions that the host's own confirm. */
#include "dropwise/plugin_check.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>

#include <cmocka.h>

static const char *folder = DW_BINARY_DIR "/plugins";
static dw_plugins plugins; /* large */

/* ---- the limits, counted anew ------------------------------------------------------------------------ */

static void check_limits(const char *where, const dw_advice_request *request, const dw_advice *advice) {
  const dw_rules *rules = &request->rules;
  dw_cup cup = request->layer[advice->layer].cup;
  size_t bottles = cup.drops.n;
  const double most = dw_rules_max_drops(rules, &cup);
  for (size_t i = 0; i < advice->add.n; i++) {
    const dw_part *part = &advice->add.part[i];
    double step = rules->step_drops > 0 ? rules->step_drops
                                        : rules->step_ml / request->shelf->bottle[part->bottle].drop_ml;
    double steps = part->amount / step;
    if (!(steps >= 1 - 1e-9) || fabs(steps - round(steps)) > 1e-6)
      fail_msg("%s: %g drops", where, part->amount);
    assert_true(dw_recipe_add(&cup.drops, part->bottle, part->amount));
  }
  cup.volume_floz += advice->add_clear_floz;
  if (!(advice->add_clear_floz >= 0)) fail_msg("%s: clear base %g", where, advice->add_clear_floz);
  if (cup.drops.n > bottles && cup.drops.n > rules->max_bottles)
    fail_msg("%s: %zu bottles", where, cup.drops.n);
  if (advice->add.n && dw_recipe_total(&cup.drops) > most + 1e-6) fail_msg("%s: too many drops", where);
  if (dw_cup_filled_floz(&cup, request->shelf) > cup.capacity_floz + 1e-6)
    fail_msg("%s: the cup runs over", where);
}

static void check_advice(void *ctx, const char *check, const dw_advice_request *request,
                         const dw_advice *advice) {
  const dw_plugin_entry_info *plugin = ctx;
  char where[200];
  dw_lab lab = advice->predicted.lab;
  snprintf(where, sizeof where, "%s on %s", plugin->id, check);
  if (!isfinite(lab.L) || !isfinite(lab.a) || !isfinite(lab.b) || !isfinite(advice->predicted_de00))
    fail_msg("%s: predicts no color", where);
  assert_true(advice->layer < request->n);
  check_limits(where, request, advice);
}

/* ---- every plugin ------------------------------------------------------------------------------------- */

static void test_every_plugin_loads(void **state) {
  (void)state;
  dw_error err = {0};
  assert_int_equal(dw_plugins_find(&folder, 1, 0, &plugins, &err), DW_OK);
  assert_true(plugins.n > 0);
  for (size_t i = 0; i < plugins.n; i++)
    if (!plugins.entry[i].usable) fail_msg("%s", plugins.entry[i].why);
}

static void check_plugin(dw_plugin_entry_info *plugin) {
  dw_error err = {0};
  dw_plugin_checks *checks = calloc(1, sizeof *checks);
  assert_non_null(checks);
  if (dw_plugin_check_file(plugin->path, 20 /* a busy machine */, check_advice, plugin, checks, &err))
    fail_msg("%s", err.text);
  assert_true(checks->n > 20);
  for (size_t i = 0; i < checks->n; i++)
    if (!checks->check[i].passed)
      fail_msg("%s, %s: %s", plugin->id, checks->check[i].name, checks->check[i].why);
  assert_int_equal(checks->n_passed, checks->n);
  free(checks);
}

static void test_every_plugin_keeps_the_contract(void **state) {
  (void)state;
  for (size_t i = 0; i < plugins.n; i++) check_plugin(&plugins.entry[i]);
}

int main(int argc, char **argv) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_every_plugin_loads),
      cmocka_unit_test(test_every_plugin_keeps_the_contract),
  };
  if (argc > 1) folder = argv[1];
  return cmocka_run_group_tests(tests, NULL, NULL);
}
