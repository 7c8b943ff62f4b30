/* Foreign text: what may be shown stays, what could harm a terminal, page or log does not. */
#include "advise/clean.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <string.h>

#include <cmocka.h>

static const struct {
  const char *in, *out;
} rows[] = {
    {"", ""},
    {"Add 3 drops.", "Add 3 drops."},
    {"5\xc2\xb0 off, na\xc3\xafve, \xe2\x82\xac, \xf0\x9f\x90\x9f",
     "5\xc2\xb0 off, na\xc3\xafve, \xe2\x82\xac, \xf0\x9f\x90\x9f"},
    {"two\nlines\ttabs\r", "two?lines?tabs?"},
    {"\033[2J", "?[2J"}, /* ECMA-48: erase in page */
    {"\xc2\x9b"
     "2J",
     "?2J"}, /* the same as one C1 character */
    {"\x7f", "?"},
    {"\xc0\x80", "??"},           /* RFC 3629, 10: an overlong NUL */
    {"\xed\xa0\x80", "???"},      /* RFC 3629, 3: a surrogate */
    {"\xf4\x90\x80\x80", "????"}, /* beyond U+10FFFF */
    {"\xff\xfe", "??"},
    {"cut \xe2\x82", "cut ??"},
    {"a\xe2\x80\xae"
     "b",
     "a?b"}, /* UAX 9: right-to-left override */
    {"a\xe2\x81\xa6"
     "b",
     "a?b"}, /* UAX 9: left-to-right isolate */
    {"a\xe2\x80\xa8"
     "b",
     "a?b"}, /* line separator */
};

static void test_rows(void **state) {
  (void)state;
  for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
    char out[64];
    bool same = dw__text_clean(out, sizeof out, rows[i].in, strlen(rows[i].in) + 1);
    assert_string_equal(out, rows[i].out);
    assert_int_equal(same, strcmp(rows[i].in, rows[i].out) == 0);
  }
}

static void test_text_without_end_is_cut(void **state) {
  (void)state;
  const char text[4] = {'a', 'b', 'c', 'd'};
  char out[16];
  assert_false(dw__text_ends(text, sizeof text));
  assert_false(dw__text_clean(out, sizeof out, text, sizeof text));
  assert_string_equal(out, "abcd");
}

static void test_no_character_is_halved(void **state) {
  (void)state;
  const char *text = "ab\xe2\x82\xac";
  for (size_t room = 1; room <= 5; room++) {
    char out[8];
    memset(out, 'x', sizeof out);
    assert_false(dw__text_clean(out, room, text, 6));
    assert_int_equal(strlen(out), room <= 3 ? room - 1 : 2);
    assert_int_equal(out[room], 'x');
  }
  char whole[6];
  assert_true(dw__text_clean(whole, sizeof whole, text, 6));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_rows),
      cmocka_unit_test(test_text_without_end_is_cut),
      cmocka_unit_test(test_no_character_is_halved),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
