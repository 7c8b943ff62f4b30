/* A bench to ask advice at: the starter shelf, the plugins built here, cups made in one line. */
#ifndef DROPWISE_TESTS_ADVISE_BENCH_H
#define DROPWISE_TESTS_ADVISE_BENCH_H

#include "check.h"
#include "dropwise/advise.h"

typedef struct bench {
  dw_shelf *shelf;
  dw_plugins plugins;
  dw_advice_request request;
  const char *only; /* one plugin, or NULL for all */
} bench;

static inline void bench_free(bench *b) {
  if (b) dw_shelf_free(b->shelf);
  free(b);
}

/* NULL when it can't be set up. */
static inline bench *bench_new(void) {
  const char *folder = DW_BINARY_DIR "/plugins";
  bench *b = calloc(1, sizeof *b);
  if (!b || dw_shelf_starter(&b->shelf, NULL) || dw_plugins_find(&folder, 1, 20, &b->plugins, NULL)) {
    bench_free(b);
    return NULL;
  }
  b->request = (dw_advice_request){.shelf = b->shelf, .slab = {10, DW_BACKING_GRAY}, .limit_s = 20};
  b->request.rules = dw_rules_default();
  return b;
}

/* Adds a layer: 4 fl oz of base in a cup of 5. */
static inline dw_layer *bench_cup(bench *b, const char *name, const char *drops, dw_lab target) {
  dw_layer *layer = &b->request.layer[b->request.n++];
  *layer =
      (dw_layer){.target = target, .target_see_through = -1, .cup = {.volume_floz = 4, .capacity_floz = 5}};
  strcpy(layer->name, name);
  return dw_recipe_parse(drops, b->shelf, &layer->cup.drops, NULL) ? NULL : layer;
}

/* NULL on error; the caller's. */
static inline dw_advice_result *bench_ask(bench *b, const char *plugin) {
  dw_advice_result *out = NULL;
  b->only = plugin;
  b->request.only = plugin ? &b->only : NULL;
  b->request.n_only = 1;
  return dw_advise(&b->request, &b->plugins, &out, NULL) ? NULL : out;
}

/* ---- a fresh bench for every test, and what was advised at it last ------------------------------------- */

static bench *b;
static dw_advice_result *result;

static inline int bench_begin(void **state) {
  (void)state;
  result = NULL;
  b = bench_new();
  return b ? 0 : -1;
}

static inline int bench_end(void **state) {
  (void)state;
  dw_advice_result_free(result);
  bench_free(b);
  return 0;
}

#define bench_test(f) cmocka_unit_test_setup_teardown(f, bench_begin, bench_end)

/* Asks one plugin, or with NULL all; none may be at fault. */
static inline void ask(const char *plugin) {
  dw_advice_result_free(result);
  result = bench_ask(b, plugin);
  assert_non_null(result);
  if (result->n_faults) fail_msg("%s", result->fault[0].why);
}

static inline bool warned(const dw_advice *advice, const char *says) {
  for (size_t i = 0; i < advice->notes.n; i++)
    if (strstr(advice->notes.text[i], says)) return true;
  return false;
}

#endif
