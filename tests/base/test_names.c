/* Names alike, and the name a slip was meant to be. */
#include "check.h"
#include "dropwise/names.h"

#include <string.h>

static void test_alike(void **state) {
  (void)state;
  assert_true(dw_names_alike("Muddy Craw", " muddy   craw "));
  assert_true(dw_names_alike("", "  "));
  assert_false(dw_names_alike("muddy craw", "muddycraw"));
  assert_false(dw_names_alike("craw", "craws"));
}

static const char *meant(const char *word, const char *const *names, size_t n) {
  dw_nearest nearest = {.word = word};
  for (size_t i = 0; i < n; i++) dw_nearest_offer(&nearest, names[i]);
  return dw_nearest_likely(&nearest) ? nearest.name : NULL;
}

static void test_nearest(void **state) {
  (void)state;
  static const char *const names[] = {"orange", "brown", "--pattern", "muddy craw"};
  char words[DW_NEAREST_WORDS_ROOM], endless[300];
  assert_string_equal(meant("ornge", names, 4), "orange");  /* one left out */
  assert_string_equal(meant("oragne", names, 4), "orange"); /* two swapped: one slip */
  assert_string_equal(meant("--Patern", names, 4), "--pattern");
  assert_string_equal(meant("Mudy Craw", names, 4), "muddy craw");
  assert_null(meant("teal", names, 4));
  assert_null(meant("x", names, 0));
  memset(endless, 'o', sizeof endless - 1);
  endless[sizeof endless - 1] = '\0';
  assert_null(meant(endless, names, 1));
  dw_nearest_words(&(dw_nearest){.word = "ornge", .name = "orange", .distance = 1}, words);
  assert_string_equal(words, " Did you mean \"orange\"?");
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_alike), cmocka_unit_test(test_nearest)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
