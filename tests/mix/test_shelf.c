/* The shelf and its JSON: what goes out comes back, and nothing bad gets in. */
#include "check.h"
#include "pourtone/mix.h"
#include "pourtone/numeric.h"

#include <stdlib.h>
#include <string.h>

static pt_shelf *starter(void) {
  pt_shelf *shelf = NULL;
  assert_int_equal(pt_shelf_starter(&shelf, NULL), PT_OK);
  return shelf;
}

static void give_draws(pt_shelf *shelf) {
  pt_random random = pt_random_seed(5);
  shelf->base_draws = calloc(PT_DRAWS, sizeof *shelf->base_draws);
  for (size_t i = 0; i <= shelf->n; i++) {
    pt_spectra *draws = i < shelf->n ? calloc(PT_DRAWS, sizeof *draws) : shelf->base_draws;
    assert_non_null(draws);
    for (size_t d = 0; d < PT_DRAWS; d++)
      for (size_t j = 0; j < PT_BANDS; j++) {
        draws[d].k[j] = pt_random_uniform(&random);
        draws[d].s[j] = pt_random_uniform(&random) / 3;
      }
    if (i < shelf->n) shelf->bottle[i].draws = draws;
  }
}

static void assert_same(const pt_shelf *a, const pt_shelf *b) {
  assert_int_equal(a->n, b->n);
  assert_memory_equal(&a->base, &b->base, sizeof a->base);
  assert_memory_equal(&a->surface, &b->surface, sizeof a->surface);
  assert_int_equal(a->base_draws != NULL, b->base_draws != NULL);
  if (a->base_draws) assert_memory_equal(a->base_draws, b->base_draws, PT_DRAWS * sizeof(pt_spectra));
  for (size_t i = 0; i < a->n; i++) {
    const pt_bottle *p = &a->bottle[i], *q = &b->bottle[i];
    assert_string_equal(p->id, q->id);
    assert_string_equal(p->title, q->title);
    assert_int_equal(p->role, q->role);
    assert_int_equal(p->origin, q->origin);
    assert_memory_equal(&p->spectra, &q->spectra, sizeof p->spectra);
    assert_memory_equal(&p->strength, &q->strength, 4 * sizeof(double));
    assert_int_equal(p->draws != NULL, q->draws != NULL);
    if (p->draws) assert_memory_equal(p->draws, q->draws, PT_DRAWS * sizeof(pt_spectra));
  }
}

static void test_starter_says_it_is_invented(void **state) {
  (void)state;
  pt_shelf *shelf = starter();
  assert_in_range(shelf->n, 10, 12);
  for (size_t i = 0; i < shelf->n; i++) {
    assert_int_equal(shelf->bottle[i].origin, PT_ORIGIN_INVENTED);
    assert_string_equal(pt_bottle_mark(&shelf->bottle[i]), " (invented)");
    assert_null(strstr(shelf->bottle[i].title, "invented")); /* a title outlives the origin */
    shelf->bottle[i].origin = PT_ORIGIN_FITTED;
    assert_string_equal(pt_bottle_mark(&shelf->bottle[i]), "");
    assert_true(pt_id_valid(shelf->bottle[i].id));
  }
  pt_shelf_free(shelf);
}

static void test_round_trip_loses_nothing(void **state) {
  (void)state;
  for (int with_draws = 0; with_draws < 2; with_draws++) {
    pt_shelf *shelf = starter(), *back = NULL;
    if (with_draws) give_draws(shelf);
    strcpy(shelf->bottle[0].title, "Lot \"7\" \\ brun fonc\xc3\xa9");
    shelf->bottle[1].strength = 1.0 / 3;
    shelf->surface.gap = 0.1;
    char *text = NULL;
    pt_error err = {0};
    assert_int_equal(pt_shelf_write(shelf, &text, &err), PT_OK);
    if (pt_shelf_parse(text, strlen(text), "shelf.json", &back, &err) != PT_OK) fail_msg("%s", err.text);
    assert_same(shelf, back);
    free(text);
    pt_shelf_free(back);
    pt_shelf_free(shelf);
  }
}

static void test_clone_owns_its_draws(void **state) {
  (void)state;
  pt_shelf *shelf = starter(), *copy = NULL, *again = NULL;
  give_draws(shelf);
  assert_int_equal(pt_shelf_clone(shelf, &copy, NULL), PT_OK);
  assert_int_equal(pt_shelf_clone(copy, &again, NULL), PT_OK);
  assert_same(shelf, copy);
  assert_ptr_not_equal(shelf->bottle[0].draws, copy->bottle[0].draws);
  pt_shelf_free(shelf);
  assert_same(copy, again);
  pt_shelf_free(copy);
  pt_shelf_free(again);
  pt_shelf_free(NULL);
}

static void test_not_finite_is_not_written(void **state) {
  (void)state;
  pt_shelf *shelf = starter();
  char *text = NULL;
  shelf->bottle[2].spectra.k[4] = NAN;
  assert_int_not_equal(pt_shelf_write(shelf, &text, NULL), PT_OK);
  assert_null(text);
  pt_shelf_free(shelf);
}

/* Replaces the first `from` in the starter shelf's text by `to`, and parses. */
static void refused(const char *from, const char *to, const char *word) {
  pt_shelf *shelf = starter(), *out = NULL;
  char *text = NULL;
  pt_error err = {0};
  assert_int_equal(pt_shelf_write(shelf, &text, NULL), PT_OK);
  char *at = strstr(text, from);
  assert_non_null(at);
  pt_text changed = {0};
  pt_text_put(&changed, text, (size_t)(at - text));
  pt_text_add(&changed, "%s%s", to, at + strlen(from));
  assert_int_equal(pt_shelf_parse(changed.data, changed.length, "mine.json", &out, &err), PT_BAD_INPUT);
  assert_null(out);
  assert_non_null(strstr(err.text, "mine.json"));
  if (!strstr(err.text, word)) fail_msg("\"%s\" does not say \"%s\"", err.text, word);
  pt_text_free(&changed);
  free(text);
  pt_shelf_free(shelf);
}

static void test_refusals_name_the_fault(void **state) {
  (void)state;
  refused("\"pourtone_shelf\": 1", "\"pourtone_shelf\": 2", "version");
  refused("\"pourtone_shelf\": 1, ", "", "pourtone_shelf");
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
  pt_shelf *shelf = starter(), *out = NULL;
  for (size_t i = shelf->n; i < PT_SHELF_MAX; i++) {
    shelf->bottle[i] = shelf->bottle[1];
    snprintf(shelf->bottle[i].id, sizeof shelf->bottle[i].id, "more-%zu", i);
  }
  shelf->n = PT_SHELF_MAX;
  char *text = NULL;
  assert_int_equal(pt_shelf_write(shelf, &text, NULL), PT_OK);
  assert_int_equal(pt_shelf_parse(text, strlen(text), "full.json", &out, NULL), PT_OK);
  assert_int_equal(out->n, PT_SHELF_MAX);
  pt_shelf_free(out);
  char *bottles = strstr(text, "\"bottles\": [");
  assert_non_null(bottles);
  pt_text more = {0};
  pt_text_put(&more, text, (size_t)(bottles - text) + 12);
  pt_text_add(&more, "{}, %s", bottles + 12);
  pt_error err = {0};
  assert_int_equal(pt_shelf_parse(more.data, more.length, "over.json", &out, &err), PT_BAD_INPUT);
  assert_non_null(strstr(err.text, "at most 64"));
  pt_text_free(&more);
  free(text);
  pt_shelf_free(shelf);
}

/* Cut anywhere, or with bytes changed: a shelf that parses must be usable, one that does not must say why. */
static void test_mutated_text(void **state) {
  (void)state;
  static const char bytes[] = "0123456789-+.eE\"{}[]:, \\ntu\x00\xff\x80";
  pt_shelf *shelf = starter();
  shelf->n = 2;
  char *text = NULL;
  assert_int_equal(pt_shelf_write(shelf, &text, NULL), PT_OK);
  const size_t n = strlen(text);
  char *copy = malloc(n);
  assert_non_null(copy);
  pt_random random = pt_random_seed(99);
  int parsed = 0, refusals = 0;
  for (int i = 0; i < 4000; i++) {
    memcpy(copy, text, n);
    const size_t length = i % 4 ? n : (size_t)(pt_random_uniform(&random) * (double)n);
    for (int j = 0; j < 1 + i % 5; j++)
      copy[(size_t)(pt_random_uniform(&random) * (double)n)] =
          bytes[(size_t)(pt_random_uniform(&random) * (double)(sizeof bytes - 1))];
    pt_shelf *out = NULL;
    pt_error err = {0};
    const pt_status status = pt_shelf_parse(copy, length, "bad.json", &out, &err);
    if (status == PT_OK) {
      pt_prediction p;
      assert_int_equal(pt_predict(out, &(pt_recipe){1, {{0, 3}}}, &(pt_slab){10, 0.2}, &p, NULL), PT_OK);
      assert_true(isfinite(p.lab.L) && isfinite(p.see_through));
      parsed++;
    } else {
      assert_non_null(strstr(err.text, "bad.json"));
      refusals++;
    }
    pt_shelf_free(out);
  }
  assert_true(parsed > 100 && refusals > 100);
  free(copy);
  free(text);
  pt_shelf_free(shelf);
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
