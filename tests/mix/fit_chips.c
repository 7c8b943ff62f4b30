/* Chips from CSV, good and bad. */
#include <stdio.h>

#include "check.h"
#include "dropwise/fit.h"

static dw_shelf *shelf_new(void) {
  dw_shelf *shelf = NULL;
  dw_error err;
  assert_int_equal(dw_shelf_new(&shelf, &err), DW_OK);
  return shelf;
}

static dw_chips *good(dw_shelf *shelf, const char *text) {
  dw_chips *chips = NULL;
  dw_error err = {0};
  if (dw_chips_parse(text, strlen(text), "chips.csv", shelf, &chips, &err) != DW_OK) fail_msg("%s", err.text);
  return chips;
}

/* Refused, in a sentence that holds both words, with the shelf as it was. */
static void bad(const char *text, dw_status status, const char *word, const char *other) {
  dw_shelf *shelf = shelf_new();
  dw_chips *chips = NULL;
  dw_error err = {0};
  assert_int_equal(dw_chips_parse(text, strlen(text), "chips.csv", shelf, &chips, &err), status);
  if (!strstr(err.text, word) || !strstr(err.text, other))
    fail_msg("'%s' misses '%s' or '%s'", err.text, word, other);
  assert_null(chips);
  assert_int_equal(shelf->n, 0);
  dw_shelf_free(shelf);
}

static void test_reads(void **state) {
  (void)state;
  char words[120];
  dw_shelf *shelf = shelf_new();
  dw_chips *chips = good(shelf, "recipe,thickness_mm,over,L,a,b,clipped,who\n"
                                ",3,white,88,-1,2,,me\n"
                                "orange=8,3,black,26,23,17,no,me\n"
                                "orange = 2; brown=1.5,3.2,0.31,50,30,30,yes,me\n");
  assert_int_equal(chips->n, 3);
  assert_int_equal(shelf->n, 2);
  assert_int_equal(chips->chip[0].recipe.n, 0);
  assert_near(chips->chip[0].backing, DW_BACKING_WHITE, 0);
  assert_near(chips->chip[1].recipe.part[0].amount, 8, 0);
  assert_near(chips->chip[2].recipe.part[1].amount, 1.5, 0);
  assert_near(chips->chip[2].backing, 0.31, 0);
  assert_false(chips->chip[1].clipped);
  assert_true(chips->chip[2].clipped);
  assert_int_equal(chips->notes.n, 3); /* the column 'who', two new bottles */
  assert_non_null(strstr(chips->notes.text[0], "who"));
  dw_chip_words(&chips->chip[1], shelf, words, sizeof words);
  assert_string_equal(words, "orange=8 over black, 3 mm");
  dw_chip_words(&chips->chip[0], shelf, words, sizeof words);
  assert_string_equal(words, "clear base over white, 3 mm");
  dw_chips_free(chips);
  dw_shelf_free(shelf);
}

#define HEAD "recipe,thickness_mm,over,L,a,b,clipped\n"

static void test_refuses(void **state) {
  (void)state;
  bad("recipe,over,L,a,b\n", DW_BAD_INPUT, "thickness_mm", "chips.csv");
  bad(HEAD, DW_TOO_FEW, "chips.csv", "no chips");
  bad(HEAD "red=2,3,white,50,0,0,\nred=2,3,purple,50,0,0,\n", DW_BAD_INPUT, "line 3", "column over");
  bad(HEAD "red=2,thick,white,50,0,0,\n", DW_BAD_INPUT, "line 2", "thickness_mm");
  bad(HEAD "red=2,0,white,50,0,0,\n", DW_BAD_INPUT, "line 2", "thickness_mm");
  bad(HEAD "red=2,3,white,500,0,0,\n", DW_BAD_INPUT, "line 2", "column L");
  bad(HEAD "red=2,3,white,50,nan,0,\n", DW_BAD_INPUT, "line 2", "column a");
  bad(HEAD "red=2,3,white,50,0,0,perhaps\n", DW_BAD_INPUT, "clipped", "perhaps");
  bad(HEAD "red=-2,3,white,50,0,0,\n", DW_BAD_INPUT, "line 2", "column recipe");
  bad(HEAD "Red One=2,3,white,50,0,0,\n", DW_BAD_INPUT, "line 2", "Red One");
  bad(HEAD "red,3,white,50,0,0,\n", DW_BAD_INPUT, "line 2", "column recipe");
}

static void test_too_many_bottles(void **state) {
  (void)state;
  dw_text text = {0};
  dw_text_add(&text, HEAD);
  for (int i = 0; i <= DW_SHELF_MAX; i++) dw_text_add(&text, "b%d=1,3,white,50,0,0,\n", i);
  assert_false(text.failed);
  bad(text.data, DW_TOO_LARGE, "line 66", "b64");
  dw_text_free(&text);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_reads),
      cmocka_unit_test(test_refuses),
      cmocka_unit_test(test_too_many_bottles),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
