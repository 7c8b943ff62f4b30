/* What a person at the bench reads. */
#include "check.h"
#include "dropwise/report.h"

static const dw_style plain = {.color = false, .units = DW_UNITS_US};

static dw_photo_reading *reading_of(dw_lab lab, dw_shares shares) {
  dw_photo_reading *reading = calloc(1, sizeof *reading);
  assert_non_null(reading);
  reading->n = 1;
  dw_layer_reading *layer = &reading->layer[0];
  strcpy(layer->name, "belly");
  layer->shape = (dw_shape){DW_SHAPE_RECT, 0, {1, 2, 3, 4}};
  layer->reading.lab = lab;
  layer->reading.lch = dw_lch_from_lab(lab);
  layer->reading.shares = shares;
  return reading;
}

static void assert_says(const dw_text *text, const char *words) {
  assert_non_null(text->data);
  if (!strstr(text->data, words)) fail_msg("\"%s\" is not in:\n%s", words, text->data);
}

static void assert_says_not(const dw_text *text, const char *words) {
  if (strstr(text->data, words)) fail_msg("\"%s\" is in:\n%s", words, text->data);
}

/* A blown highlight is not dark: each share stands under its own title. */
static void test_clipped_pixels_are_not_called_dark(void **state) {
  (void)state;
  dw_photo_reading *reading =
      reading_of((dw_lab){50, 10, 10}, (dw_shares){.kept = 0.58, .shadow = 0.02, .clipped = 0.4});
  dw_text text = {0}, html = {0};
  dw_text_reading(reading, &plain, &text);
  assert_says(&text, "kept gloss flake  dark  clip\n");
  assert_says(&text, "  58%    0%    0%    2%   40%  ");
  assert_says_not(&text, "Set aside:");
  const char *title = strstr(text.data, "dark  clip"), *line = strstr(text.data, "belly");
  ptrdiff_t at = strchr(title, '\n') - strstr(text.data, "\nlayer") - 1;
  assert_memory_equal(line + at - 3, "40%", 3);
  const dw_html_report report = {.title = "t", .reading = reading};
  assert_int_equal(dw_html_write(&report, &html, NULL), DW_OK);
  assert_says(&html, "<th>Dark</th><th>Clipped</th>");
  assert_says(&html, "<td>2%</td><td>40%</td></tr>");
  dw_text_free(&text);
  dw_text_free(&html);
  free(reading);
}

static void test_grays_print_no_hue_and_no_minus_zero(void **state) {
  (void)state;
  static const dw_lab grays[] = {{50, -0.001, -0.002}, {50, 0.02, -0.001}, {50, -0.03, 0.01}};
  for (size_t i = 0; i < sizeof grays / sizeof *grays; i++) {
    dw_photo_reading *reading = reading_of(grays[i], (dw_shares){.kept = 1});
    dw_text text = {0}, html = {0};
    const dw_html_report report = {.title = "t", .reading = reading};
    dw_text_reading(reading, &plain, &text);
    assert_int_equal(dw_html_write(&report, &html, NULL), DW_OK);
    assert_says(&text, "    0.0     -  ");
    assert_says(&html, "<td>0.0</td><td>-</td>");
    assert_says_not(&text, "-0.00");
    assert_says_not(&html, "-0.00");
    dw_text_free(&text);
    dw_text_free(&html);
    free(reading);
  }
}

static void test_hue_ends_before_360(void **state) {
  (void)state;
  dw_photo_reading *reading = reading_of(dw_lab_from_lch((dw_lch){50, 30, 359.8}), (dw_shares){.kept = 1});
  dw_text text = {0};
  dw_text_reading(reading, &plain, &text);
  assert_says(&text, "30.0     0  ");
  dw_text_free(&text);
  free(reading);
}

static void test_no_minus_zero_in_differences(void **state) {
  (void)state;
  dw_text text = {0};
  dw_text_difference((dw_lab){50, -0.001, 0}, (dw_lab){49.9999, 0, -0.0001}, &plain, &text);
  assert_says_not(&text, "-0.00");
  dw_text_free(&text);
}

static void test_a_cup_at_its_target_is_as_aimed(void **state) {
  (void)state;
  dw_shelf *shelf = NULL;
  assert_int_equal(dw_shelf_starter(&shelf, NULL), DW_OK);
  dw_advice_request *request = calloc(1, sizeof *request);
  dw_advice_result *result = calloc(1, sizeof *result);
  assert_true(request && result);
  request->shelf = shelf;
  request->n = 1;
  request->layer[0].target = (dw_lab){50, 10, 10};
  result->state[0].aim = request->layer[0].target;
  result->state[0].now = (dw_lab){50.01, 10, 10};
  result->state[0].now_de00 = 0.01;
  dw_text text = {0}, html = {0};
  const dw_html_report report = {.title = "t", .request = request, .advice = result};
  dw_text_advice(request, result, &plain, &text);
  assert_int_equal(dw_html_write(&report, &html, NULL), DW_OK);
  assert_says(&text, "0.01 away; as aimed\n");
  assert_says(&html, "0.01 from the target; as aimed.");
  dw_text_free(&text);
  dw_text_free(&html);
  free(request);
  free(result);
  dw_shelf_free(shelf);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_clipped_pixels_are_not_called_dark),
                                     cmocka_unit_test(test_grays_print_no_hue_and_no_minus_zero),
                                     cmocka_unit_test(test_hue_ends_before_360),
                                     cmocka_unit_test(test_no_minus_zero_in_differences),
                                     cmocka_unit_test(test_a_cup_at_its_target_is_as_aimed)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
