/* The contract every plugin keeps, over each .so of a folder (test_contract FOLDER; else the plugins built
 * here): it loads, its id is its own, and on every request it answers in time, the same each time, within all
 * limits, in whole sentences, with predictions that the host's own confirm. */
#include "dropwise/advise.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

static const char *folder = DW_BINARY_DIR "/plugins";
static dw_plugins plugins; /* large */

/* ---- requests --------------------------------------------------------------------------------------- */

typedef struct layer_row {
  const char *drops; /* NULL: no such layer */
  double volume_floz, capacity_floz;
  dw_lab target;
  double target_see_through;
  const dw_lab *measured;
} layer_row;

typedef struct request_row {
  const char *name;
  layer_row layer[DW_LAYERS_MAX];
  double chroma_share, step_drops;
  size_t max_bottles;
  const char *bottles; /* the only ones on the shelf, "" for none; NULL: the starter shelf */
} request_row;

static const dw_lab seen = {44, 30, 38}, seen_far = {90, -40, 60}, seen_same = {50, 25, 35};

#define CRAWFISH                                                                                             \
  {                                                                                                          \
    {"brown=10;orange=12", 4, 5, {38, 18, 28}, -1, NULL}, {"orange=16", 4, 5, {52, 28, 38}, -1, NULL}, {     \
      "yellow=8", 4, 5, {72, 6, 45}, -1, NULL                                                                \
    }                                                                                                        \
  }

static const request_row requests[] = {
    {"three layers", CRAWFISH, 0, 1, 4, NULL},
    {"three layers, duller", CRAWFISH, 0.3, 1, 4, NULL},
    {"three layers, all color gone", CRAWFISH, 1, 1, 4, NULL},
    {"one layer", {{"orange=12", 4, 5, {45, 25, 35}, -1, NULL}}, 0, 1, 4, NULL},
    {"half drops", {{"orange=12", 4, 5, {45, 25, 35}, -1, NULL}}, 0.2, 0.5, 4, NULL},
    {"a syringe", {{"orange=12", 4, 5, {45, 25, 35}, -1, NULL}}, 0.2, 0, 4, NULL},
    {"clear cups", {{"", 4, 5, {45, 25, 35}, 0.7, NULL}, {"", 4, 5, {75, 0, 10}, 0.4, NULL}}, 0, 1, 4, NULL},
    {"clear cups, duller", {{"", 4, 5, {45, 25, 35}, -1, NULL}}, 0.5, 1, 4, NULL},
    {"no bottles", {{"", 4, 5, {45, 25, 35}, 0.7, NULL}, {"", 4, 5, {45, 25, 35}, -1, NULL}}, 0.3, 1, 4, ""},
    {"no brown", {{"orange=12", 4, 5, {45, 20, 28}, -1, NULL}}, 0.3, 1, 4, "orange,yellow,blue"},
    {"one bottle", {{"white=2", 4, 5, {45, 25, 35}, 0.5, NULL}}, 0, 1, 4, "white"},
    {"an effect alone", {{"pearl=6", 4, 5, {80, 0, 0}, 0.5, NULL}}, 0.3, 1, 4, "pearl"},
    {"a full cup", {{"orange=12;brown=4", 4, 4.03, {45, 25, 35}, 0.3, NULL}}, 0.3, 1, 4, NULL},
    {"a cup with all its drops", {{"orange=40;brown=20", 4, 6, {60, 25, 35}, 0.3, NULL}}, 0.3, 1, 4, NULL},
    {"a cup beyond its bottles",
     {{"orange=4;brown=2;blue=1;red=1;white=1", 4, 5, {60, 25, 35}, -1, NULL}},
     0,
     1,
     2,
     NULL},
    {"a thimble", {{"orange=1", 0.05, 0.06, {45, 25, 35}, -1, NULL}}, 0.3, 1, 4, NULL},
    {"a bucket", {{"orange=50", 64, 128, {45, 25, 35}, -1, NULL}}, 0.3, 1, 4, NULL},
    {"twins",
     {{"orange=12", 4, 5, {45, 25, 35}, -1, NULL}, {"orange=12", 4, 5, {45, 25, 35}, -1, NULL}},
     0,
     1,
     4,
     NULL},
    {"out of reach",
     {{"orange=12", 4, 5, {95, 120, 120}, 0, NULL}, {"white=9", 4, 5, {0, 0, 0}, 1, NULL}},
     0,
     1,
     4,
     NULL},
    {"see-through",
     {{"white=8;blue=1", 4, 6, {75, -3, -8}, 0.5, NULL}, {"melon-green=3", 4, 6, {45, -10, 10}, 0.9, NULL}},
     0,
     1,
     4,
     NULL},
    {"measured",
     {{"orange=12", 4, 5, {50, 25, 35}, -1, &seen},
      {"orange=12", 4, 5, {50, 25, 35}, -1, &seen_far},
      {"orange=12", 4, 5, {50, 25, 35}, -1, &seen_same}},
     0,
     1,
     4,
     NULL},
    {"eight layers",
     {{"orange=12", 4, 5, {45, 25, 35}, -1, NULL},
      {"yellow=6", 4, 5, {60, 5, 35}, -1, NULL},
      {"blue=4", 4, 5, {35, 0, -35}, -1, NULL},
      {"red=12", 4, 5, {35, 35, 15}, -1, NULL},
      {"white=6", 4, 5, {80, 0, 0}, 0.5, NULL},
      {"black=2", 4, 5, {20, 0, 0}, -1, NULL},
      {"pink=6", 4, 5, {65, 25, 5}, -1, NULL},
      {"melon-green=6", 4, 5, {40, -20, 10}, -1, NULL}},
     0.2,
     1,
     4,
     NULL},
};
enum { N_REQUESTS = sizeof requests / sizeof *requests };

static dw_shelf *shelf_make(const char *bottles) {
  dw_shelf *all = NULL;
  assert_int_equal(dw_shelf_starter(&all, NULL), DW_OK);
  if (!bottles) return all;
  dw_shelf *some = NULL;
  assert_int_equal(dw_shelf_new(&some, NULL), DW_OK);
  for (size_t i = 0; i < all->n; i++)
    if (*bottles && strstr(bottles, all->bottle[i].id)) some->bottle[some->n++] = all->bottle[i];
  dw_shelf_free(all);
  return some;
}

static void request_make(const request_row *row, const dw_shelf *shelf, dw_advice_request *out) {
  dw_error err = {0};
  *out = (dw_advice_request){
      .shelf = shelf, .slab = {10, DW_BACKING_GRAY}, .chroma_share = row->chroma_share, .limit_s = 20};
  out->rules = dw_rules_default();
  out->rules.step_drops = row->step_drops;
  out->rules.max_bottles = row->max_bottles;
  for (; out->n < DW_LAYERS_MAX && row->layer[out->n].drops; out->n++) {
    const layer_row *from = &row->layer[out->n];
    dw_layer *layer = &out->layer[out->n];
    snprintf(layer->name, sizeof layer->name, "layer-%zu", out->n + 1);
    layer->target = from->target;
    layer->target_see_through = from->target_see_through;
    layer->cup.volume_floz = from->volume_floz;
    layer->cup.capacity_floz = from->capacity_floz;
    layer->has_measured = from->measured != NULL;
    if (from->measured) layer->measured = *from->measured;
    layer->measured_uncertainty_de00 = 1.5;
    if (dw_recipe_parse(from->drops, shelf, &layer->cup.drops, &err)) fail_msg("%s: %s", row->name, err.text);
  }
}

/* ---- what must hold --------------------------------------------------------------------------------- */

static void check_sentence(const char *where, const char *text) {
  size_t n = strlen(text);
  if (n < 10 || text[n - 1] != '.' || strchr(text, '\n')) fail_msg("%s: '%s' is no sentence", where, text);
  if (strstr(text, "nan") || strstr(text, "inf ")) fail_msg("%s: '%s' holds no number", where, text);
}

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

static void check_advice(const char *where, const dw_advice_request *request, const dw_advice *advice) {
  dw_lab lab = advice->predicted.lab;
  if (!isfinite(lab.L) || !isfinite(lab.a) || !isfinite(lab.b) || !isfinite(advice->predicted_de00))
    fail_msg("%s: predicts no color", where);
  assert_true(advice->layer < request->n);
  check_sentence(where, advice->words);
  for (size_t i = 0; i < advice->notes.n; i++) {
    if (strstr(advice->notes.text[i], "prediction")) fail_msg("%s: %s", where, advice->notes.text[i]);
    check_sentence(where, advice->notes.text[i]);
  }
  check_limits(where, request, advice);
}

static bool same(const dw_advice_result *a, const dw_advice_result *b) {
  bool equal = a->n == b->n;
  for (size_t i = 0; equal && i < a->n; i++) {
    const dw_advice *x = &a->advice[i], *y = &b->advice[i];
    equal = x->layer == y->layer && x->add.n == y->add.n && x->predicted_de00 == y->predicted_de00 &&
            x->add_clear_floz == y->add_clear_floz && strcmp(x->words, y->words) == 0;
    for (size_t k = 0; equal && k < x->add.n; k++)
      equal =
          x->add.part[k].bottle == y->add.part[k].bottle && x->add.part[k].amount == y->add.part[k].amount;
  }
  return equal;
}

static dw_advice_result *ask(const dw_advice_request *request, const char *where) {
  dw_error err = {0};
  dw_advice_result *out = NULL;
  if (dw_advise(request, &plugins, &out, &err)) fail_msg("%s: %s", where, err.text);
  if (out->n_faults) fail_msg("%s: %s", where, out->fault[0].why);
  return out;
}

static void check_plugin_on(const char *id, const request_row *row) {
  char where[160];
  dw_shelf *shelf = shelf_make(row->bottles);
  dw_advice_request *request = calloc(1, sizeof *request);
  assert_non_null(request);
  request_make(row, shelf, request);
  request->only = &id;
  request->n_only = 1;
  snprintf(where, sizeof where, "%s on %s", id, row->name);
  dw_advice_result *first = ask(request, where), *second = ask(request, where);
  if (!same(first, second)) fail_msg("%s: another answer the second time", where);
  for (size_t i = 0; i < first->n; i++) check_advice(where, request, &first->advice[i]);
  dw_advice_result_free(first);
  dw_advice_result_free(second);
  free(request);
  dw_shelf_free(shelf);
}

static void test_every_plugin_loads(void **state) {
  (void)state;
  dw_error err = {0};
  assert_int_equal(dw_plugins_find(&folder, 1, 0, &plugins, &err), DW_OK);
  assert_true(plugins.n > 0);
  for (size_t i = 0; i < plugins.n; i++)
    if (!plugins.entry[i].usable) fail_msg("%s", plugins.entry[i].why);
}

static void test_every_plugin_keeps_the_contract(void **state) {
  (void)state;
  for (size_t i = 0; i < plugins.n; i++)
    for (size_t r = 0; r < N_REQUESTS; r++) check_plugin_on(plugins.entry[i].id, &requests[r]);
}

int main(int argc, char **argv) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_every_plugin_loads),
      cmocka_unit_test(test_every_plugin_keeps_the_contract),
  };
  if (argc > 1) folder = argv[1];
  return cmocka_run_group_tests(tests, NULL, NULL);
}
