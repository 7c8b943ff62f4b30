#include "check.h"
#include "dropwise/mix.h"

#include <string.h>

static int setup(void **state) {
  return dw_shelf_starter((dw_shelf **)state, NULL) == DW_OK ? 0 : -1;
}

static int teardown(void **state) {
  dw_shelf_free(*state);
  return 0;
}

static void test_parse_and_format(void **state) {
  const dw_shelf *shelf = *state;
  dw_recipe recipe;
  char text[200];
  assert_int_equal(dw_recipe_parse("orange=6;brown=2", shelf, &recipe, NULL), DW_OK);
  assert_int_equal(recipe.n, 2);
  assert_near(dw_recipe_amount(&recipe, (size_t)dw_shelf_find(shelf, "brown")), 2, 0);
  assert_near(dw_recipe_total(&recipe), 8, 0);
  dw_recipe_format(&recipe, shelf, text, sizeof text);
  assert_string_equal(text, "orange=6,brown=2");
  assert_int_equal(dw_recipe_parse(" orange = 6.5 ; brown=0", shelf, &recipe, NULL), DW_OK);
  dw_recipe_format(&recipe, shelf, text, sizeof text);
  assert_string_equal(text, "orange=6.5");
  assert_int_equal(dw_recipe_parse("", shelf, &recipe, NULL), DW_OK);
  assert_int_equal(recipe.n, 0);
}

static void test_commas_are_semicolons(void **state) {
  const dw_shelf *shelf = *state;
  dw_recipe one, other;
  assert_int_equal(dw_recipe_parse("orange=6;brown=2;red=1", shelf, &one, NULL), DW_OK);
  assert_int_equal(dw_recipe_parse("orange=6, brown=2;red=1", shelf, &other, NULL), DW_OK);
  assert_memory_equal(&one, &other, sizeof one);
}

static void test_what_was_formatted_parses(void **state) {
  const dw_shelf *shelf = *state;
  dw_recipe recipe, again;
  char text[200];
  assert_int_equal(dw_recipe_parse("orange=6.25,brown=2", shelf, &recipe, NULL), DW_OK);
  dw_recipe_format(&recipe, shelf, text, sizeof text);
  assert_int_equal(dw_recipe_parse(text, shelf, &again, NULL), DW_OK);
  assert_memory_equal(&recipe, &again, sizeof recipe);
}

static void test_format_is_cut_to_its_room(void **state) {
  const dw_shelf *shelf = *state;
  dw_recipe recipe;
  char text[12] = "untouched";
  assert_int_equal(dw_recipe_parse("orange=6;brown=2", shelf, &recipe, NULL), DW_OK);
  dw_recipe_format(&recipe, shelf, text, 0);
  assert_string_equal(text, "untouched");
  for (size_t room = 1; room <= sizeof text; room++) {
    dw_recipe_format(&recipe, shelf, text, room);
    assert_int_equal(strlen(text), room - 1);
    assert_memory_equal(text, "orange=6,brown=2", room - 1);
  }
}

static void refused(const dw_shelf *shelf, const char *text, const char *word) {
  dw_recipe recipe = {.n = 99};
  dw_error err = {0};
  assert_int_equal(dw_recipe_parse(text, shelf, &recipe, &err), DW_USAGE);
  if (!strstr(err.text, word)) fail_msg("\"%s\" does not say \"%s\"", err.text, word);
  assert_int_equal(recipe.n, 99);
}

static void test_refusals_name_the_fault(void **state) {
  const dw_shelf *shelf = *state;
  refused(shelf, "oragne=3", "\"orange\"");
  refused(shelf, "Brown=3", "\"brown\"");
  refused(shelf, "orange=3;orange=4", "twice");
  refused(shelf, "orange=-3", "orange=-3");
  refused(shelf, "orange=nan", "nan");
  refused(shelf, "orange=1e9", "10000");
  refused(shelf, "orange=", "number");
  refused(shelf, "orange", "bottle=drops");
  refused(shelf, "=3", "bottle=drops");
  refused(shelf, "orange=3 4", "number");
  refused(shelf, "orange=3;;brown=2", "bottle=drops");
  refused(shelf, "orange=3,,brown=2", "bottle=drops");
  refused(shelf, ";", "bottle=drops");
  refused(shelf, "orange=1,5", "\"5\"");
  char many[4000] = "";
  for (int i = 0; i < 300; i++) strcat(many, "x=1;");
  refused(shelf, many, "\"x\"");
  memset(many, 'y', sizeof many - 1);
  refused(shelf, many, "bottle=drops");
  dw_shelf *empty = NULL;
  assert_int_equal(dw_shelf_new(&empty, NULL), DW_OK);
  refused(empty, "orange=1", "empty");
  dw_shelf_free(empty);
}

static void test_a_trailing_separator_is_questioned(void **state) {
  static const char *const cut[] = {"orange=6;", "orange=6,", "orange=6 ; ", "orange=6,brown=2,\t"};
  for (size_t i = 0; i < sizeof cut / sizeof *cut; i++)
    refused(*state, cut[i], "did the shell take the rest?");
}

/* The bound is that of the rules: what a fresh cup is filled to, and what a correction may add to a full one.
 */
static void test_a_loading_beyond_any_cup_is_questioned(void **state) {
  const dw_shelf *shelf = *state;
  dw_recipe recipe;
  dw_error err;
  dw_rules rules = dw_rules_default();
  dw_cup full = {.volume_floz = 1, .capacity_floz = 2};
  full.drops = (dw_recipe){.n = 1, .part = {{0, dw_rules_max_drops(&rules, &full)}}};
  double most = dw_rules_max_drops(&rules, &full);
  recipe = (dw_recipe){.n = 1, .part = {{0, most}}};
  assert_int_equal(dw_loadings_question(&recipe, &err), DW_OK);
  recipe.part[0].amount = most + 0.5;
  assert_int_equal(dw_loadings_question(&recipe, &err), DW_USAGE);
  assert_non_null(strstr(err.text, "whole cup"));
  assert_int_equal(dw_recipe_parse("orange=28,brown=12", shelf, &recipe, NULL), DW_OK); /* 4 fl oz of them */
  assert_int_equal(dw_loadings_question(&recipe, &err), DW_USAGE);
}

static void test_cup_sums(void **state) {
  const dw_shelf *shelf = *state;
  dw_cup cup = {.volume_floz = 4, .capacity_floz = 5};
  dw_recipe loadings;
  assert_int_equal(dw_recipe_parse("orange=12;brown=4", shelf, &cup.drops, NULL), DW_OK);
  dw_cup_loadings(&cup, &loadings);
  assert_near(loadings.part[0].amount, 3, 1e-12);
  assert_near(loadings.part[1].amount, 1, 1e-12);
  /* 16 drops of 0.05 ml are 0.8 ml; a US fl oz is 29.5735 ml (NIST Handbook 44, appendix C). */
  assert_near(dw_cup_filled_floz(&cup, shelf), 4 + 0.8 / 29.5735295625, 1e-12);
  cup.volume_floz = 0;
  dw_cup_loadings(&cup, &loadings);
  assert_near(loadings.part[0].amount, 0, 0);
}

static void test_recipe_add(void **state) {
  (void)state;
  dw_recipe recipe = {0};
  for (size_t i = 0; i < DW_CUP_BOTTLES_MAX; i++) assert_true(dw_recipe_add(&recipe, i, 1));
  assert_true(dw_recipe_add(&recipe, 3, 2));
  assert_near(dw_recipe_amount(&recipe, 3), 3, 0);
  assert_false(dw_recipe_add(&recipe, 40, 1));
  assert_near(dw_recipe_amount(&recipe, 40), 0, 0);
}

static void test_backings(void **state) {
  (void)state;
  double r = -1;
  dw_error err;
  assert_int_equal(dw_backing_parse("black", &r, NULL), DW_OK);
  assert_near(r, DW_BACKING_BLACK, 0);
  assert_int_equal(dw_backing_parse("white", &r, NULL), DW_OK);
  assert_near(r, DW_BACKING_WHITE, 0);
  assert_int_equal(dw_backing_parse("0.35", &r, NULL), DW_OK);
  assert_near(r, 0.35, 0);
  assert_int_equal(dw_backing_parse("1.01", &r, &err), DW_USAGE);
  assert_non_null(strstr(err.text, "1.01"));
  assert_int_equal(dw_backing_parse("grey", &r, &err), DW_USAGE);
  assert_int_equal(dw_backing_parse("", &r, &err), DW_USAGE);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_parse_and_format),
                                     cmocka_unit_test(test_commas_are_semicolons),
                                     cmocka_unit_test(test_what_was_formatted_parses),
                                     cmocka_unit_test(test_a_trailing_separator_is_questioned),
                                     cmocka_unit_test(test_a_loading_beyond_any_cup_is_questioned),
                                     cmocka_unit_test(test_format_is_cut_to_its_room),
                                     cmocka_unit_test(test_refusals_name_the_fault),
                                     cmocka_unit_test(test_cup_sums),
                                     cmocka_unit_test(test_recipe_add),
                                     cmocka_unit_test(test_backings)};
  return cmocka_run_group_tests(tests, setup, teardown);
}
