#include "dropwise/base.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static void test_status_table(void **state) {
  (void)state;
  for (int i = 0; i < DW_STATUS_COUNT; i++) {
    int code = dw_status_exit_code((dw_status)i);
    assert_in_range(code, 0, 3);
    assert_true((code == 0) == (i == DW_OK));
  }
  assert_string_equal(dw_status_name(DW_TOO_LARGE), "DW_TOO_LARGE");
}

static void test_error_may_hold_its_own_text(void **state) {
  (void)state;
  dw_error err = {0};
  dw_fail(&err, DW_IO, "inner");
  assert_int_equal(dw_fail(&err, DW_CORRUPT, "outer: %s", err.text), DW_CORRUPT);
  assert_string_equal(err.text, "outer: inner.");
  dw_fail(&err, DW_USAGE, "Is it?");
  assert_string_equal(err.text, "Is it?");
}

/* RFC 3629: what a character is, and what only looks like one (overlong, surrogate, beyond 10FFFF, cut). */
static void test_utf8_characters(void **state) {
  (void)state;
  static const struct {
    const char *text;
    size_t length;
    uint32_t code;
  } known[] = {{"A", 1, 0x41},
               {"\xC3\xA4", 2, 0xE4},
               {"\xE2\x82\xAC", 3, 0x20AC},
               {"\xF0\x9D\x84\x9E", 4, 0x1D11E},
               {"\xFF", 0, 0},
               {"\x80", 0, 0},
               {"\xC0\x80", 0, 0},
               {"\xED\xA0\x80", 0, 0},
               {"\xF4\x90\x80\x80", 0, 0},
               {"\xE2\x82", 0, 0},
               {"\xE4"
                "che",
                0, 0}};
  for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
    uint32_t code = 0;
    assert_int_equal(dw_utf8_character(known[i].text, strlen(known[i].text), &code), known[i].length);
    assert_int_equal(code, known[i].code);
  }
  assert_true(dw_utf8_plain("fl\xC3\xA4"
                            "che") &&
              dw_utf8_plain(""));
  assert_false(dw_utf8_plain("ab\xFF") || dw_utf8_plain("a\nb") || dw_utf8_plain("\x7F") ||
               dw_utf8_plain("\xC2\x85"));
}

/* Whatever the room, a cut text is the beginning of the whole one and still UTF-8. */
static void test_texts_are_cut_between_characters(void **state) {
  (void)state;
  const char *text = "a\xC3\xA4\xE2\x82\xAC\xF0\x9D\x84\x9E!"; /* 1, 2, 3, 4 and 1 bytes */
  static const size_t kept[] = {0, 1, 1, 3, 3, 3, 6, 6, 6, 6, 10, 11};
  for (size_t room = 1; room <= 12; room++) {
    char out[12];
    assert_int_equal(dw_copy_text(out, room, text), room == 12);
    assert_int_equal(strlen(out), kept[room - 1]);
    assert_memory_equal(out, text, kept[room - 1]);
  }
}

static void test_sentences_are_plain_text(void **state) {
  (void)state;
  dw_error err;
  dw_notes notes = {0};
  dw_fail(&err, DW_IO, "There is no file %s.",
          "fl\xE4"
          "che\n.png");
  assert_string_equal(err.text, "There is no file fl?che?.png.");
  dw_fail(&err, DW_IO,
          "a\xE2\x80\xAE"
          "b"); /* U+202E turns what stands behind it */
  assert_string_equal(err.text, "a???b.");
  dw_fail(&err, DW_IO, "%.4s.", "abc\xC3\xA4"); /* a precision counts bytes */
  assert_string_equal(err.text, "abc?.");
  for (size_t skip = 0; skip < 4; skip++) {
    char name[600] = "";
    for (size_t i = 0; i + 4 < sizeof name; i += 4) memcpy(name + i, "\xF0\x9D\x84\x9E", 4);
    dw_fail(&err, DW_IO, "%s%s", &"xxx"[skip], name);
    dw_note(&notes, "%s%s", &"xxx"[skip], name);
    assert_true(dw_utf8_plain(err.text) && dw_utf8_plain(notes.text[skip]));
    assert_null(strchr(err.text, '?'));
    assert_null(strchr(notes.text[skip], '?'));
    assert_true(strlen(notes.text[skip]) > DW_NOTE_TEXT - 5);
  }
}

static void test_sizes(void **state) {
  (void)state;
  size_t out = 7;
  assert_false(dw_size_mul(SIZE_MAX / 2, 3, &out));
  assert_false(dw_size_add(SIZE_MAX, 1, &out));
  assert_int_equal(out, 7);
  assert_true(dw_size_mul(0, SIZE_MAX, &out));
  assert_int_equal(out, 0);
}

static void test_arena_keeps_its_limit(void **state) {
  (void)state;
  dw_arena *arena = dw_arena_new(100);
  assert_non_null(dw_arena_take(arena, 10, 6));
  assert_null(dw_arena_take(arena, 41, 1));
  assert_null(dw_arena_take(arena, SIZE_MAX, 2));
  assert_non_null(dw_arena_take(arena, 40, 1));
  assert_null(dw_arena_take(arena, 1, 1));
  dw_arena_free(arena);
}

static void test_numbers(void **state) {
  (void)state;
  double v[3];
  assert_true(dw_parse_numbers("52.10,-3.4,1e1", 3, v));
  assert_true(v[0] == 52.10 && v[1] == -3.4 && v[2] == 10.0);
  static const char *const bad[] = {"",        "1",     "1,2",     "1,2,3,4",   "1,2,x",
                                    "1,2,3 4", "1;2;3", "nan,1,2", "1,2,1e999", "0x1,2,3"};
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) assert_false(dw_parse_numbers(bad[i], 3, v));
  double x = 5;
  assert_false(dw_parse_number_in("-0.1", 0, 1, &x));
  assert_true(x == 5);
}

static void test_csv(void **state) {
  (void)state;
  const char *text = "\xEF\xBB\xBF"
                     "name, L ,note\r\n\"a, \"\"b\"\"\", 12.5 ,\"two\nlines\"\n\nlast,x\n";
  dw_csv *csv = NULL;
  dw_error err;
  assert_int_equal(dw_csv_parse(text, strlen(text), "t.csv", &csv, &err), DW_OK);
  assert_int_equal(dw_csv_rows(csv), 2);
  assert_string_equal(dw_csv_cell(csv, 0, 0), "a, \"b\"");
  assert_string_equal(dw_csv_cell(csv, 0, 2), "two\nlines");
  assert_string_equal(dw_csv_cell(csv, 1, 2), "");
  double v;
  assert_int_equal(dw_csv_number(csv, 0, dw_csv_column(csv, "l"), &v, &err), DW_OK);
  assert_true(v == 12.5);
  assert_int_equal(dw_csv_number(csv, 1, 1, &v, &err), DW_BAD_INPUT);
  assert_non_null(strstr(err.text, "line 5"));
  dw_csv_free(csv);
  assert_int_equal(dw_csv_parse("a\n\"b", 4, "t.csv", &csv, &err), DW_BAD_INPUT);
  assert_int_equal(dw_csv_parse("", 0, "t.csv", &csv, &err), DW_BAD_INPUT);
}

static void test_html_and_base64(void **state) {
  (void)state;
  dw_text text = {0};
  dw_text_html(&text, "<a href='x'>\"&");
  assert_string_equal(text.data, "&lt;a href=&#39;x&#39;&gt;&quot;&amp;");
  dw_text_free(&text);
  /* RFC 4648, section 10 */
  static const char *const vectors[][2] = {
      {"f", "Zg=="}, {"fo", "Zm8="}, {"foo", "Zm9v"}, {"foobar", "Zm9vYmFy"}};
  for (size_t i = 0; i < 4; i++) {
    dw_text_base64(&text, (const uint8_t *)vectors[i][0], strlen(vectors[i][0]));
    assert_string_equal(text.data, vectors[i][1]);
    dw_text_free(&text);
  }
}

static void test_sha256(void **state) {
  (void)state;
  char out[65];
  dw_sha256("abc", 3, out); /* FIPS 180-4, example B.1 */
  assert_string_equal(out, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

static void test_files(void **state) {
  (void)state;
  char folder[] = "/tmp/dw_base_XXXXXX", path[64];
  assert_non_null(mkdtemp(folder));
  snprintf(path, sizeof path, "%s/file", folder);
  dw_error err;
  assert_int_equal(dw_file_write(path, "one", 3, &err), DW_OK);
  assert_int_equal(dw_file_write(path, "three", 5, &err), DW_OK);
  char *text;
  size_t n;
  assert_int_equal(dw_file_read(path, 4, &text, &n, &err), DW_TOO_LARGE);
  assert_int_equal(dw_file_read(path, 5, &text, &n, &err), DW_OK);
  assert_string_equal(text, "three");
  free(text);
  assert_int_equal(dw_file_read(folder, 5, &text, &n, &err), DW_BAD_INPUT);
  unlink(path);
  assert_int_equal(dw_file_read(path, 5, &text, &n, &err), DW_NOT_FOUND);
  rmdir(folder);
  assert_int_equal(dw_file_write(path, "x", 1, &err), DW_IO);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_status_table),
                                     cmocka_unit_test(test_error_may_hold_its_own_text),
                                     cmocka_unit_test(test_utf8_characters),
                                     cmocka_unit_test(test_texts_are_cut_between_characters),
                                     cmocka_unit_test(test_sentences_are_plain_text),
                                     cmocka_unit_test(test_sizes),
                                     cmocka_unit_test(test_arena_keeps_its_limit),
                                     cmocka_unit_test(test_numbers),
                                     cmocka_unit_test(test_csv),
                                     cmocka_unit_test(test_html_and_base64),
                                     cmocka_unit_test(test_sha256),
                                     cmocka_unit_test(test_files)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
