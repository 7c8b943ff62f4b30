/* Marks files: what is in them comes through, what is wrong in them is named. */
#include "check.h"
#include "dropwise/read.h"

static dw_marks marks, back;
static dw_error err;

static dw_status parse(const char *text, const char *set) {
  json_t *json = json_loads(text, 0, NULL);
  assert_non_null(json);
  dw_status status = dw_marks_from_json(json, "m.json", set, &marks, &err);
  json_decref(json);
  return status;
}

static void refuses(const char *text, const char *words) {
  assert_int_not_equal(parse(text, NULL), DW_OK);
  if (!strstr(err.text, words)) fail_msg("\"%s\" does not say \"%s\"", err.text, words);
}

#define CORNERS "\"corners\":[1,2,3,4,5,6,7,8]"

static void test_what_is_wrong_is_named(void **state) {
  (void)state;
  refuses("{\"card\":[1,2,3,4,5,6,7,8]}", "\"card\" must be an object");
  refuses("{\"card\":{" CORNERS ",\"set\":5}}", "\"set\" must be a text");
  refuses("{\"card\":{\"corners\":[1,2,3]}}", "eight numbers");
  refuses("{\"card\":{" CORNERS "},\"gray\":{\"shape\":\"rect:0,0,9x9\"}}", "both");
  refuses("{\"gray\":\"rect:0,0,9x9\"}", "\"gray\" must be an object");
  refuses("{\"gray\":{\"shape\":\"rect:0,0,9x9\",\"y\":\"0.5\"}}", "\"y\" must be a number");
  refuses("{\"gray\":{\"shape\":\"rect:0,0,9x9\",\"y\":18}}", "between 0 and 1");
  refuses("{\"layers\":{\"name\":\"a\",\"shape\":\"rect:0,0,9x9\"}}", "\"layers\" must be an array");
  refuses("{\"layers\":[{\"name\":\"a\\nb\",\"shape\":\"rect:0,0,9x9\"}]}", "control character");
}

static void test_names_that_are_no_text_are_refused(void **state) {
  (void)state;
  marks = (dw_marks){0};
  assert_int_equal(dw_marks_add_layer(&marks, "ab\xFF=rect:0,0,9x9", &err), DW_USAGE);
  assert_non_null(strstr(err.text, "\"ab?\" is not UTF-8"));
  assert_int_equal(marks.n, 0);
  assert_int_equal(dw_marks_add_layer(&marks, "B\xC3\xA4uche=rect:0,0,9x9", &err), DW_OK);
}

static void test_null_is_as_good_as_absent(void **state) {
  (void)state;
  assert_int_equal(parse("{\"card\":null,\"gray\":{\"shape\":\"rect:0,0,9x9\"},\"layers\":null}", NULL),
                   DW_OK);
  assert_int_equal(marks.method, DW_LIGHT_GRAY);
  assert_true(marks.gray_y == DW_GRAY_Y_DEFAULT);
}

/* A set named from outside wins, so that the file's own need not even be there. */
static void test_another_card_instead_of_the_files_own(void **state) {
  (void)state;
  static const char text[] = "{\"card\":{" CORNERS ",\"set\":\"/nonexistent/card.txt\"}}";
  assert_int_equal(parse(text, NULL), DW_NOT_FOUND);
  assert_int_equal(parse(text, "grid24"), DW_OK);
  assert_string_equal(marks.card_set, "grid24");
  assert_int_equal(marks.card.cols, 6);
}

static void round_trip(void) {
  json_t *json = dw_marks_json(&marks);
  assert_non_null(json);
  if (dw_marks_from_json(json, "back", NULL, &back, &err) != DW_OK) fail_msg("%s", err.text);
  json_decref(json);
  assert_int_equal(back.n, marks.n);
  assert_int_equal(back.method, marks.method);
}

static void test_the_longest_polygon_survives(void **state) {
  (void)state;
  dw_shape *shape = &marks.layer[0].shape;
  marks = (dw_marks){.n = 1, .method = DW_LIGHT_GRAY, .gray_y = 0.5};
  strcpy(marks.layer[0].name, "belly");
  *shape = (dw_shape){.kind = DW_SHAPE_POLY, .n = DW_SHAPE_POINTS_MAX};
  for (size_t i = 0; i < 2 * DW_SHAPE_POINTS_MAX; i++) shape->xy[i] = 1234567.891 * (2 + cos(2 * (double)i));
  marks.gray = *shape;
  round_trip();
  assert_true(back.gray_y == 0.5);
  for (size_t i = 0; i < 2 * DW_SHAPE_POINTS_MAX; i++) {
    assert_near(back.layer[0].shape.xy[i], shape->xy[i], 1e-2);
    assert_near(back.gray.xy[i], shape->xy[i], 1e-2);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_what_is_wrong_is_named),
                                     cmocka_unit_test(test_names_that_are_no_text_are_refused),
                                     cmocka_unit_test(test_null_is_as_good_as_absent),
                                     cmocka_unit_test(test_another_card_instead_of_the_files_own),
                                     cmocka_unit_test(test_the_longest_polygon_survives)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
