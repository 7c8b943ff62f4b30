/* The shelf and its JSON: what goes out comes back, and nothing bad gets in. */
#include "check.h"
#include "dropwise/mix.h"
#include "dropwise/numeric.h"

#include <stdlib.h>
#include <string.h>

static dw_shelf *starter(void) {
  dw_shelf *shelf = NULL;
  assert_int_equal(dw_shelf_starter(&shelf, NULL), DW_OK);
  return shelf;
}

static void give_draws(dw_shelf *shelf) {
  dw_random random = dw_random_seed(5);
  shelf->base_draws = calloc(DW_DRAWS, sizeof *shelf->base_draws);
  for (size_t i = 0; i <= shelf->n; i++) {
    dw_spectra *draws = i < shelf->n ? calloc(DW_DRAWS, sizeof *draws) : shelf->base_draws;
    assert_non_null(draws);
    for (size_t d = 0; d < DW_DRAWS; d++)
      for (size_t j = 0; j < DW_BANDS; j++) {
        draws[d].k[j] = dw_random_uniform(&random);
        draws[d].s[j] = dw_random_uniform(&random) / 3;
      }
    if (i < shelf->n) shelf->bottle[i].draws = draws;
  }
}

static void assert_same(const dw_shelf *a, const dw_shelf *b) {
  assert_int_equal(a->n, b->n);
  assert_memory_equal(&a->base, &b->base, sizeof a->base);
  assert_memory_equal(&a->surface, &b->surface, sizeof a->surface);
  assert_int_equal(a->base_draws != NULL, b->base_draws != NULL);
  if (a->base_draws) assert_memory_equal(a->base_draws, b->base_draws, DW_DRAWS * sizeof(dw_spectra));
  for (size_t i = 0; i < a->n; i++) {
    const dw_bottle *p = &a->bottle[i], *q = &b->bottle[i];
    assert_string_equal(p->id, q->id);
    assert_string_equal(p->title, q->title);
    assert_int_equal(p->role, q->role);
    assert_int_equal(p->origin, q->origin);
    assert_memory_equal(&p->spectra, &q->spectra, sizeof p->spectra);
    assert_memory_equal(&p->strength, &q->strength, 4 * sizeof(double));
    assert_int_equal(p->draws != NULL, q->draws != NULL);
    if (p->draws) assert_memory_equal(p->draws, q->draws, DW_DRAWS * sizeof(dw_spectra));
  }
}

static void test_starter_says_it_is_invented(void **state) {
  (void)state;
  dw_shelf *shelf = starter();
  assert_in_range(shelf->n, 10, 12);
  for (size_t i = 0; i < shelf->n; i++) {
    assert_int_equal(shelf->bottle[i].origin, DW_ORIGIN_INVENTED);
    assert_string_equal(dw_bottle_mark(&shelf->bottle[i]), " (invented)");
    assert_null(strstr(shelf->bottle[i].title, "invented")); /* a title outlives the origin */
    shelf->bottle[i].origin = DW_ORIGIN_FITTED;
    assert_string_equal(dw_bottle_mark(&shelf->bottle[i]), "");
    assert_true(dw_id_valid(shelf->bottle[i].id));
  }
  dw_shelf_free(shelf);
}

static void test_round_trip_loses_nothing(void **state) {
  (void)state;
  for (int with_draws = 0; with_draws < 2; with_draws++) {
    dw_shelf *shelf = starter(), *back = NULL;
    if (with_draws) give_draws(shelf);
    strcpy(shelf->bottle[0].title, "Lot \"7\" \\ brun fonc\xc3\xa9");
    shelf->bottle[1].strength = 1.0 / 3;
    shelf->surface.gap = 0.1;
    char *text = NULL;
    dw_error err = {0};
    assert_int_equal(dw_shelf_write(shelf, &text, &err), DW_OK);
    if (dw_shelf_parse(text, strlen(text), "shelf.json", &back, &err) != DW_OK) fail_msg("%s", err.text);
    assert_same(shelf, back);
    free(text);
    dw_shelf_free(back);
    dw_shelf_free(shelf);
  }
}

static void test_clone_owns_its_draws(void **state) {
  (void)state;
  dw_shelf *shelf = starter(), *copy = NULL, *again = NULL;
  give_draws(shelf);
  assert_int_equal(dw_shelf_clone(shelf, &copy, NULL), DW_OK);
  assert_int_equal(dw_shelf_clone(copy, &again, NULL), DW_OK);
  assert_same(shelf, copy);
  assert_ptr_not_equal(shelf->bottle[0].draws, copy->bottle[0].draws);
  dw_shelf_free(shelf);
  assert_same(copy, again);
  dw_shelf_free(copy);
  dw_shelf_free(again);
  dw_shelf_free(NULL);
}

static void test_not_finite_is_not_written(void **state) {
  (void)state;
  dw_shelf *shelf = starter();
  char *text = NULL;
  shelf->bottle[2].spectra.k[4] = NAN;
  assert_int_not_equal(dw_shelf_write(shelf, &text, NULL), DW_OK);
  assert_null(text);
  dw_shelf_free(shelf);
}

/* Replaces the first `from` in the starter shelf's text by `to`, and parses. */
static void refused(const char *from, const char *to, const char *word) {
  dw_shelf *shelf = starter(), *out = NULL;
  char *text = NULL;
  dw_error err = {0};
  assert_int_equal(dw_shelf_write(shelf, &text, NULL), DW_OK);
  char *at = strstr(text, from);
  assert_non_null(at);
  dw_text changed = {0};
  dw_text_put(&changed, text, (size_t)(at - text));
  dw_text_add(&changed, "%s%s", to, at + strlen(from));
  assert_int_equal(dw_shelf_parse(changed.data, changed.length, "mine.json", &out, &err), DW_BAD_INPUT);
  assert_null(out);
  assert_non_null(strstr(err.text, "mine.json"));
  if (!strstr(err.text, word)) fail_msg("\"%s\" does not say \"%s\"", err.text, word);
  dw_text_free(&changed);
  free(text);
  dw_shelf_free(shelf);
}

static void test_refusals_name_the_fault(void **state) {
  (void)state;
  refused("\"dropwise_shelf\": 1", "\"dropwise_shelf\": 2", "version");
  refused("\"dropwise_shelf\": 1, ", "", "dropwise_shelf");
  refused("\"count\": ", "\"count\": 1", "bands");
  refused("\"k2\": ", "\"k2\": 9", "k2");
  refused("\"id\": \"orange\"", "\"id\": \"Or ange\"", "\"id\"");
  refused("\"id\": \"orange\"", "\"id\": \"brown\"", "twice");
  refused("\"role\": \"color\"", "\"role\": \"paint\"", "role");
  refused("\"origin\": \"invented\"", "\"origin\": null", "origin");
  refused("\"strength\": ", "\"strength\": -", "strength");
  refused("\"drop_ml\": ", "\"drops\": ", "bottle \"brown\": \"drop_ml\"");
  refused("\"bottles\": [", "\"bottles\": 4, \"more\": [", "bottles");
  refused("\"base\": {", "\"base\": {\"draws\": [], ", "base: \"draws\"");
  refused("\"k\": [", "\"k\": [1,", "one per band");
  refused("\"s\": [", "\"s\": [-1e-3, ", "\"s\"");
  refused("{", "{\"a\": 1, \"a\": 2, ", "line 1");
}

static void test_shelf_of_too_many_is_refused(void **state) {
  (void)state;
  dw_shelf *shelf = starter(), *out = NULL;
  for (size_t i = shelf->n; i < DW_SHELF_MAX; i++) {
    shelf->bottle[i] = shelf->bottle[1];
    snprintf(shelf->bottle[i].id, sizeof shelf->bottle[i].id, "more-%zu", i);
  }
  shelf->n = DW_SHELF_MAX;
  char *text = NULL;
  assert_int_equal(dw_shelf_write(shelf, &text, NULL), DW_OK);
  assert_int_equal(dw_shelf_parse(text, strlen(text), "full.json", &out, NULL), DW_OK);
  assert_int_equal(out->n, DW_SHELF_MAX);
  dw_shelf_free(out);
  char *bottles = strstr(text, "\"bottles\": [");
  assert_non_null(bottles);
  dw_text more = {0};
  dw_text_put(&more, text, (size_t)(bottles - text) + 12);
  dw_text_add(&more, "{}, %s", bottles + 12);
  dw_error err = {0};
  assert_int_equal(dw_shelf_parse(more.data, more.length, "over.json", &out, &err), DW_BAD_INPUT);
  assert_non_null(strstr(err.text, "at most 64"));
  dw_text_free(&more);
  free(text);
  dw_shelf_free(shelf);
}

/* Cut anywhere, or with bytes changed: a shelf that parses must be usable, one that does not must say why. */
static void test_mutated_text(void **state) {
  (void)state;
  static const char bytes[] = "0123456789-+.eE\"{}[]:, \\ntu\x00\xff\x80";
  dw_shelf *shelf = starter();
  shelf->n = 2;
  char *text = NULL;
  assert_int_equal(dw_shelf_write(shelf, &text, NULL), DW_OK);
  const size_t n = strlen(text);
  char *copy = malloc(n);
  assert_non_null(copy);
  dw_random random = dw_random_seed(99);
  int parsed = 0, refusals = 0;
  for (int i = 0; i < 4000; i++) {
    memcpy(copy, text, n);
    const size_t length = i % 4 ? n : (size_t)(dw_random_uniform(&random) * (double)n);
    for (int j = 0; j < 1 + i % 5; j++)
      copy[(size_t)(dw_random_uniform(&random) * (double)n)] =
          bytes[(size_t)(dw_random_uniform(&random) * (double)(sizeof bytes - 1))];
    dw_shelf *out = NULL;
    dw_error err = {0};
    const dw_status status = dw_shelf_parse(copy, length, "bad.json", &out, &err);
    if (status == DW_OK) {
      dw_prediction p;
      assert_int_equal(dw_predict(out, &(dw_recipe){1, {{0, 3}}}, &(dw_slab){10, 0.2}, &p, NULL), DW_OK);
      assert_true(isfinite(p.lab.L) && isfinite(p.see_through));
      parsed++;
    } else {
      assert_non_null(strstr(err.text, "bad.json"));
      refusals++;
    }
    dw_shelf_free(out);
  }
  assert_true(parsed > 100 && refusals > 100);
  free(copy);
  free(text);
  dw_shelf_free(shelf);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_starter_says_it_is_invented),
                                     cmocka_unit_test(test_round_trip_loses_nothing),
                                     cmocka_unit_test(test_clone_owns_its_draws),
                                     cmocka_unit_test(test_not_finite_is_not_written),
                                     cmocka_unit_test(test_refusals_name_the_fault),
                                     cmocka_unit_test(test_shelf_of_too_many_is_refused),
                                     cmocka_unit_test(test_mutated_text)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
