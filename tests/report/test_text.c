/* What a person at the bench reads. */
#include "check.h"
#include "pourtone/report.h"

static const pt_style plain = {.color = false, .units = PT_UNITS_US};

static pt_photo_reading *reading_of(pt_lab lab, pt_shares shares) {
  pt_photo_reading *reading = calloc(1, sizeof *reading);
  assert_non_null(reading);
  reading->n = 1;
  pt_layer_reading *layer = &reading->layer[0];
  strcpy(layer->name, "belly");
  layer->shape = (pt_shape){PT_SHAPE_RECT, 0, {1, 2, 3, 4}};
  layer->reading.lab = lab;
  layer->reading.lch = pt_lch_from_lab(lab);
  layer->reading.shares = shares;
  return reading;
}

static void assert_says(const pt_text *text, const char *words) {
  assert_non_null(text->data);
  if (!strstr(text->data, words)) fail_msg("\"%s\" is not in:\n%s", words, text->data);
}

static void assert_says_not(const pt_text *text, const char *words) {
  if (strstr(text->data, words)) fail_msg("\"%s\" is in:\n%s", words, text->data);
}

/* A blown highlight is not dark: each share stands under its own title. */
static void test_clipped_pixels_are_not_called_dark(void **state) {
  (void)state;
  pt_photo_reading *reading =
      reading_of((pt_lab){50, 10, 10}, (pt_shares){.kept = 0.58, .shadow = 0.02, .clipped = 0.4});
  pt_text text = {0}, html = {0};
  pt_text_reading(reading, &plain, &text);
  assert_says(&text, "kept gloss flake  dark  clip\n");
  assert_says(&text, "  58%    0%    0%    2%   40%  ");
  const char *title = strstr(text.data, "dark  clip"), *line = strstr(text.data, "belly");
  ptrdiff_t at = strchr(title, '\n') - strstr(text.data, "\nlayer") - 1;
  assert_memory_equal(line + at - 3, "40%", 3);
  const pt_html_report report = {.title = "t", .reading = reading};
  assert_int_equal(pt_html_write(&report, &html, NULL), PT_OK);
  assert_says(&html, "<th>Dark</th><th>Clipped</th>");
  assert_says(&html, "<td>2%</td><td>40%</td></tr>");
  pt_text_free(&text);
  pt_text_free(&html);
  free(reading);
}

static void test_grays_print_no_hue_and_no_minus_zero(void **state) {
  (void)state;
  static const pt_lab grays[] = {{50, -0.001, -0.002}, {50, 0.02, -0.001}, {50, -0.03, 0.01}};
  for (size_t i = 0; i < sizeof grays / sizeof *grays; i++) {
    pt_photo_reading *reading = reading_of(grays[i], (pt_shares){.kept = 1});
    pt_text text = {0}, html = {0};
    const pt_html_report report = {.title = "t", .reading = reading};
    pt_text_reading(reading, &plain, &text);
    assert_int_equal(pt_html_write(&report, &html, NULL), PT_OK);
    assert_says(&text, "    0.0     -  ");
    assert_says(&html, "<td>0.0</td><td>-</td>");
    assert_says_not(&text, "-0.00");
    assert_says_not(&html, "-0.00");
    pt_text_free(&text);
    pt_text_free(&html);
    free(reading);
  }
}

static void test_hue_ends_before_360(void **state) {
  (void)state;
  pt_photo_reading *reading = reading_of(pt_lab_from_lch((pt_lch){50, 30, 359.8}), (pt_shares){.kept = 1});
  pt_text text = {0};
  pt_text_reading(reading, &plain, &text);
  assert_says(&text, "30.0     0  ");
  pt_text_free(&text);
  free(reading);
}

static void test_no_minus_zero_in_differences(void **state) {
  (void)state;
  pt_text text = {0};
  pt_text_difference((pt_lab){50, -0.001, 0}, (pt_lab){49.9999, 0, -0.0001}, &plain, &text);
  assert_says_not(&text, "-0.00");
  pt_text_free(&text);
}

static void test_a_cup_at_its_target_is_as_aimed(void **state) {
  (void)state;
  pt_shelf *shelf = NULL;
  assert_int_equal(pt_shelf_starter(&shelf, NULL), PT_OK);
  pt_advice_request *request = calloc(1, sizeof *request);
  pt_advice_result *result = calloc(1, sizeof *result);
  assert_true(request && result);
  request->shelf = shelf;
  request->n = 1;
  request->layer[0].target = (pt_lab){50, 10, 10};
  result->state[0].aim = request->layer[0].target;
  result->state[0].now = (pt_lab){50.01, 10, 10};
  result->state[0].now_de00 = 0.01;
  pt_text text = {0}, html = {0};
  const pt_html_report report = {.title = "t", .request = request, .advice = result};
  pt_text_advice(request, result, &plain, &text);
  assert_int_equal(pt_html_write(&report, &html, NULL), PT_OK);
  assert_says(&text, "0.01 away; as aimed\n");
  assert_says(&html, "0.01 from the target; as aimed.");
  pt_text_free(&text);
  pt_text_free(&html);
  free(request);
  free(result);
  pt_shelf_free(shelf);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_clipped_pixels_are_not_called_dark),
                                     cmocka_unit_test(test_grays_print_no_hue_and_no_minus_zero),
                                     cmocka_unit_test(test_hue_ends_before_360),
                                     cmocka_unit_test(test_no_minus_zero_in_differences),
                                     cmocka_unit_test(test_a_cup_at_its_target_is_as_aimed)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
