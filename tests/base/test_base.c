#include "pourtone/base.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

static void test_status_table(void **state) {
  (void)state;
  for (int i = 0; i < PT_STATUS_COUNT; i++) {
    int code = pt_status_exit_code((pt_status)i);
    assert_in_range(code, 0, 3);
    assert_true((code == 0) == (i == PT_OK));
    assert_true(strlen(pt_status_meaning((pt_status)i)) > 3);
  }
  assert_string_equal(pt_status_name(PT_TOO_LARGE), "PT_TOO_LARGE");
}

static void test_error_may_hold_its_own_text(void **state) {
  (void)state;
  pt_error err = {0};
  pt_fail(&err, PT_IO, "inner");
  assert_int_equal(pt_fail(&err, PT_CORRUPT, "outer: %s", err.text), PT_CORRUPT);
  assert_string_equal(err.text, "outer: inner");
}

static void test_sizes(void **state) {
  (void)state;
  size_t out = 7;
  assert_false(pt_size_mul(SIZE_MAX / 2, 3, &out));
  assert_false(pt_size_add(SIZE_MAX, 1, &out));
  assert_int_equal(out, 7);
  assert_true(pt_size_mul(0, SIZE_MAX, &out));
  assert_int_equal(out, 0);
}

static void test_arena_keeps_its_limit(void **state) {
  (void)state;
  pt_arena *arena = pt_arena_new(100);
  assert_non_null(pt_arena_take(arena, 10, 6));
  assert_null(pt_arena_take(arena, 41, 1));
  assert_null(pt_arena_take(arena, SIZE_MAX, 2));
  assert_non_null(pt_arena_take(arena, 40, 1));
  assert_int_equal(pt_arena_used(arena), 100);
  pt_arena_free(arena);
}

static void test_numbers(void **state) {
  (void)state;
  double v[3];
  assert_true(pt_parse_numbers("52.10,-3.4,1e1", 3, v));
  assert_true(v[0] == 52.10 && v[1] == -3.4 && v[2] == 10.0);
  static const char *const bad[] = {"",        "1",     "1,2",     "1,2,3,4",   "1,2,x",
                                    "1,2,3 4", "1;2;3", "nan,1,2", "1,2,1e999", "0x1,2,3"};
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) assert_false(pt_parse_numbers(bad[i], 3, v));
  double x = 5;
  assert_false(pt_parse_number_in("-0.1", 0, 1, &x));
  assert_true(x == 5);
}

static void test_csv(void **state) {
  (void)state;
  const char *text = "\xEF\xBB\xBF"
                     "name, L ,note\r\n\"a, \"\"b\"\"\", 12.5 ,\"two\nlines\"\n\nlast,x\n";
  pt_csv *csv = NULL;
  pt_error err;
  assert_int_equal(pt_csv_parse(text, strlen(text), "t.csv", &csv, &err), PT_OK);
  assert_int_equal(pt_csv_rows(csv), 2);
  assert_string_equal(pt_csv_cell(csv, 0, 0), "a, \"b\"");
  assert_string_equal(pt_csv_cell(csv, 0, 2), "two\nlines");
  assert_string_equal(pt_csv_cell(csv, 1, 2), "");
  double v;
  assert_int_equal(pt_csv_number(csv, 0, pt_csv_column(csv, "l"), &v, &err), PT_OK);
  assert_true(v == 12.5);
  assert_int_equal(pt_csv_number(csv, 1, 1, &v, &err), PT_BAD_INPUT);
  assert_non_null(strstr(err.text, "line 5"));
  pt_csv_free(csv);
  assert_int_equal(pt_csv_parse("a\n\"b", 4, "t.csv", &csv, &err), PT_BAD_INPUT);
  assert_int_equal(pt_csv_parse("", 0, "t.csv", &csv, &err), PT_BAD_INPUT);
}

static void test_html_and_base64(void **state) {
  (void)state;
  pt_text text = {0};
  pt_text_html(&text, "<a href='x'>\"&");
  assert_string_equal(text.data, "&lt;a href=&#39;x&#39;&gt;&quot;&amp;");
  pt_text_free(&text);
  /* RFC 4648, section 10 */
  static const char *const vectors[][2] = {
      {"f", "Zg=="}, {"fo", "Zm8="}, {"foo", "Zm9v"}, {"foobar", "Zm9vYmFy"}};
  for (size_t i = 0; i < 4; i++) {
    pt_text_base64(&text, (const uint8_t *)vectors[i][0], strlen(vectors[i][0]));
    assert_string_equal(text.data, vectors[i][1]);
    pt_text_free(&text);
  }
}

static void test_sha256(void **state) {
  (void)state;
  char out[65];
  pt_sha256("abc", 3, out); /* FIPS 180-4, example B.1 */
  assert_string_equal(out, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

static void test_files(void **state) {
  (void)state;
  char folder[] = "/tmp/pt_base_XXXXXX", path[64];
  assert_non_null(mkdtemp(folder));
  snprintf(path, sizeof path, "%s/file", folder);
  pt_error err;
  assert_int_equal(pt_file_write(path, "one", 3, &err), PT_OK);
  assert_int_equal(pt_file_write(path, "three", 5, &err), PT_OK);
  char *text;
  size_t n;
  assert_int_equal(pt_file_read(path, 4, &text, &n, &err), PT_TOO_LARGE);
  assert_int_equal(pt_file_read(path, 5, &text, &n, &err), PT_OK);
  assert_string_equal(text, "three");
  free(text);
  assert_int_equal(pt_file_read(folder, 5, &text, &n, &err), PT_BAD_INPUT);
  unlink(path);
  assert_int_equal(pt_file_read(path, 5, &text, &n, &err), PT_NOT_FOUND);
  rmdir(folder);
  assert_int_equal(pt_file_write(path, "x", 1, &err), PT_IO);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_status_table),
                                     cmocka_unit_test(test_error_may_hold_its_own_text),
                                     cmocka_unit_test(test_sizes),
                                     cmocka_unit_test(test_arena_keeps_its_limit),
                                     cmocka_unit_test(test_numbers),
                                     cmocka_unit_test(test_csv),
                                     cmocka_unit_test(test_html_and_base64),
                                     cmocka_unit_test(test_sha256),
                                     cmocka_unit_test(test_files)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
