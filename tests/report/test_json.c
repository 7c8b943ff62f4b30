/* JSON of results: nothing is lost, whatever bytes came from outside. */
#include "check.h"
#include "dropwise/report.h"

static dw_photo_reading *reading_new(size_t layers) {
  dw_photo_reading *reading = calloc(1, sizeof *reading);
  assert_non_null(reading);
  reading->n = layers;
  for (size_t i = 0; i < layers; i++) {
    snprintf(reading->layer[i].name, sizeof reading->layer[i].name, "layer %zu", i + 1);
    reading->layer[i].shape = (dw_shape){DW_SHAPE_RECT, 0, {1, 2, 3, 4}};
  }
  return reading;
}

static const char *text_at(const json_t *object, const char *key) {
  const char *text = json_string_value(json_object_get(object, key));
  if (!text) fail_msg("\"%s\" is missing", key);
  return text;
}

/* U+FFFD is EF BF BD; one for each byte that belongs to no character (the practice of WHATWG's decoder for
 * single stray bytes). */
static void test_any_bytes_become_a_text(void **state) {
  (void)state;
  static const char *const pairs[][2] = {{"", ""},
                                         {"fl\xC3\xA4"
                                          "che",
                                          "fl\xC3\xA4"
                                          "che"},
                                         {"ab\xFF", "ab\xEF\xBF\xBD"},
                                         {"\xE4\xE4", "\xEF\xBF\xBD\xEF\xBF\xBD"},
                                         {"x\xE2\x82", "x\xEF\xBF\xBD\xEF\xBF\xBD"}};
  for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++) {
    json_t *json = dw_json_text(pairs[i][0]);
    assert_string_equal(json_string_value(json), pairs[i][1]);
    json_decref(json);
  }
}

static void test_a_reading_with_foreign_bytes_is_whole(void **state) {
  (void)state;
  dw_photo_reading *reading = reading_new(2);
  strcpy(reading->path, "fl\xE4"
                        "che.png");
  strcpy(reading->photo.profile, "Bildschirm f\xFCr");
  strcpy(reading->light.method_text, "my card \xC3");
  strcpy(reading->layer[1].name, "ab\xFF");
  json_t *json = dw_json_reading(reading);
  assert_non_null(json);
  const json_t *photo = json_object_get(json, "photo"), *layers = json_object_get(json, "layers");
  assert_string_equal(text_at(photo, "path"), "fl\xEF\xBF\xBD"
                                              "che.png");
  assert_string_equal(text_at(photo, "profile"), "Bildschirm f\xEF\xBF\xBDr");
  assert_string_equal(text_at(json_object_get(json, "light"), "method"), "my card \xEF\xBF\xBD");
  assert_int_equal(json_array_size(layers), 2);
  assert_string_equal(text_at(json_array_get(layers, 1), "name"), "ab\xEF\xBF\xBD");
  json_decref(json);
  free(reading);
}

/* The most points that a shape may have, with numbers as long as they get. */
static void test_the_longest_polygon_comes_whole(void **state) {
  (void)state;
  dw_photo_reading *reading = reading_new(1);
  dw_shape *shape = &reading->layer[0].shape, back;
  *shape = (dw_shape){.kind = DW_SHAPE_POLY, .n = DW_SHAPE_POINTS_MAX};
  for (size_t i = 0; i < DW_SHAPE_POINTS_MAX; i++) {
    shape->xy[2 * i] = -9998999.123 + 1e3 * cos((double)i);
    shape->xy[2 * i + 1] = i % 2 ? -1.234567891e-5 * (double)(i + 1) : -8888888.125;
  }
  json_t *json = dw_json_layer(&reading->layer[0]);
  const char *text = text_at(json, "shape");
  assert_true(strlen(text) > 12000 && strlen(text) < DW_SHAPE_TEXT_MAX);
  assert_int_equal(dw_shape_parse(text, &back, NULL), DW_OK);
  assert_int_equal(back.n, DW_SHAPE_POINTS_MAX);
  for (size_t i = 0; i < 2 * back.n; i++) assert_near(back.xy[i], shape->xy[i], 1e-3);
  json_decref(json);
  free(reading);
}

/* Without a card nothing is known of the light's errors: null, not a perfect 0. */
static void test_a_light_without_patches_knows_no_errors(void **state) {
  (void)state;
  static const char *const keys[] = {"residual_de00", "left_out_de00"};
  for (int method = DW_LIGHT_NONE; method <= DW_LIGHT_CARD; method++) {
    const dw_light_info light = {.method = (dw_light_method)method, .uncertainty_de00 = 7.9};
    json_t *json = dw_json_light(&light);
    for (size_t i = 0; i < 2; i++) {
      const json_t *errors = json_object_get(json, keys[i]);
      assert_int_equal(json_is_null(json_object_get(errors, "mean")), method != DW_LIGHT_CARD);
      assert_int_equal(json_is_null(json_object_get(errors, "max")), method != DW_LIGHT_CARD);
    }
    assert_near(json_number_value(json_object_get(json, "uncertainty_de00")), 7.9, 1e-9);
    json_decref(json);
  }
}

static void test_a_gray_has_no_hue_and_no_minus_zero(void **state) {
  (void)state;
  static const struct {
    dw_lab lab;
    double h;
  } colors[] = {
      {{50, -0.001, -0.002}, 0}, {{50, 0.004, 0.002}, 0}, {{50, 30, -0.001}, 0}, {{50, 0, -30}, 270}};
  for (size_t i = 0; i < sizeof colors / sizeof *colors; i++) {
    dw_layer_reading layer = {.shape = {DW_SHAPE_RECT, 0, {1, 2, 3, 4}}};
    layer.reading.lab = colors[i].lab;
    layer.reading.lch = dw_lch_from_lab(colors[i].lab);
    json_t *json = dw_json_layer(&layer);
    char *text = json_dumps(json, JSON_COMPACT | JSON_REAL_PRECISION(10));
    assert_null(strstr(text, "-0.0,"));
    assert_null(strstr(text, "-0.0]"));
    assert_near(json_number_value(json_array_get(json_object_get(json, "lch"), 2)), colors[i].h, 1e-9);
    free(text);
    json_decref(json);
  }
}

/* A chain ends in NULL when any link of it does. */
static void test_chains_pass_a_failure_on(void **state) {
  (void)state;
  assert_null(dw_json_and(json_array(), NULL));
  assert_null(dw_json_and(NULL, json_true()));
  assert_null(dw_json_with(json_object(), "key", NULL));
  assert_null(dw_json_with(json_object(), "\xFF", json_true()));
  json_t *list = dw_json_and(dw_json_and(json_array(), json_true()), json_string("b"));
  assert_int_equal(json_array_size(list), 2);
  json_decref(list);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_any_bytes_become_a_text),
                                     cmocka_unit_test(test_a_reading_with_foreign_bytes_is_whole),
                                     cmocka_unit_test(test_the_longest_polygon_comes_whole),
                                     cmocka_unit_test(test_a_light_without_patches_knows_no_errors),
                                     cmocka_unit_test(test_a_gray_has_no_hue_and_no_minus_zero),
                                     cmocka_unit_test(test_chains_pass_a_failure_on)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
