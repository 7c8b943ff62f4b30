/* The plan as text: what a person at the bench must find in it. */
#include "check.h"
#include "dropwise/report_plan.h"

static dw_plan_job job_of(const dw_shelf *shelf) {
  dw_plan_job job = {.shelf = shelf, .slab = {10, DW_BACKING_GRAY}, .n_layers = 2, .n_molds = 1, .baits = 8};
  job.layer[0] = (dw_plan_layer){.name = "back", .share = 0.5, .has_recipe = true};
  job.layer[1] = (dw_plan_layer){.name = "belly", .share = 0.5};
  assert_int_equal(dw_recipe_parse("brown=4", shelf, &job.layer[0].loadings, NULL), DW_OK);
  job.mold[0].mold = (dw_mold){.name = "craw",
                               .cavities = 4,
                               .bait_ml = 10 * DW_ML_PER_FLOZ / 4,
                               .runner_ml = 0,
                               .sprue = DW_SIDE_TOWARD,
                               .back = DW_SIDE_RIGHT};
  return job;
}

static char *text_of(const dw_plan_job *job) {
  dw_plan plan;
  dw_text text = {0};
  const dw_style style = {.units = DW_UNITS_US};
  assert_int_equal(dw_plan_make(job, &plan, NULL), DW_OK);
  dw_text_plan(job, &plan, &style, &text);
  assert_false(text.failed);
  return text.data;
}

/* 8 baits are two fills of 10 fl oz: 10 fl oz a cup, 40 drops of brown. */
static void test_volumes_drops_and_chambers(void **state) {
  (void)state;
  dw_shelf *shelf = NULL;
  assert_int_equal(dw_shelf_starter(&shelf, NULL), DW_OK);
  dw_plan_job job = job_of(shelf);
  char *text = text_of(&job);
  assert_non_null(strstr(text, "craw 2 times"));
  assert_non_null(strstr(text, "back, chamber 2: 10.00 fl oz (296 ml) of plastic\n  +40 brown"));
  assert_non_null(strstr(text, "sprue: [belly] [back]\n"));
  assert_non_null(strstr(text, "Brown (invented): 40 drops (2.0 ml)"));
  assert_non_null(strstr(text, dw_caution_line));
  assert_null(strstr(text, "do not heat"));
  free(text);
  job.cup_ml = 100;
  text = text_of(&job);
  assert_true(strncmp(text, "This can't be poured", 20) == 0);
  free(text);
  dw_shelf_free(shelf);
}

/* The drawing, from above: a B at the side of the backs, the sprue's opening at its side. */
static void test_drawing(void **state) {
  (void)state;
  static const char *const layers[] = {"back", "belly"};
  dw_mold mold = {.name = "craw",
                  .cavities = 4,
                  .bait_ml = 9,
                  .runner_ml = 6,
                  .sprue = DW_SIDE_TOWARD,
                  .back = DW_SIDE_RIGHT};
  dw_text text = {0};
  dw_text_mold(&mold, layers, 2, &text);
  assert_non_null(strstr(text.data, "|               B|\n    +-------||-------+   toward you"));
  dw_text_free(&text);
  mold.sprue = DW_SIDE_LEFT, mold.back = DW_SIDE_AWAY;
  dw_text_mold(&mold, layers, 2, &text);
  assert_non_null(strstr(text.data, "away\n    |BBBBBBBBBBBBBBBB|\n  ===                |"));
  dw_text_free(&text);
}

/* Where the drawing has the chamber of that color: x along the bench, y toward the person. */
static void chamber_at(const char *svg, const char *color, double *x, double *y) {
  double w, h;
  char fill[40];
  const char *rect = svg;
  snprintf(fill, sizeof fill, "fill=\"%s\"", color);
  while ((rect = strstr(rect, "<rect "))) {
    const char *end = strchr(rect, '>'), *at = strstr(rect, fill);
    if (at && at < end) break;
    rect = end;
  }
  assert_non_null(rect);
  assert_int_equal(sscanf(rect, "<rect x=\"%lf\" y=\"%lf\" width=\"%lf\" height=\"%lf\"", x, y, &w, &h), 4);
}

/* Streams keep side by side, so the back's chamber stands on the side of the backs, in all eight ways a mold can
 * stand; and the injector stands where the sprue faces. */
static void test_drawn_chambers_stand_by_the_backs(void **state) {
  (void)state;
  static const char *const layers[] = {"back", "belly"};
  const dw_lab black = {0}, white = {100, 0, 0}, *const color[] = {&black, &white};
  for (int sprue = 0; sprue < 4; sprue++)
    for (int back = 0; back < 4; back++) {
      const dw_mold mold = {
          .name = "craw", .cavities = 4, .bait_ml = 9, .sprue = (dw_side)sprue, .back = (dw_side)back};
      dw_text svg = {0};
      dw_svg_mold(&mold, layers, color, 2, &svg);
      if (dw_mold_check(&mold, NULL) != DW_OK) {
        assert_int_equal(svg.length, 0);
        continue;
      }
      double x0, y0, x1, y1;
      chamber_at(svg.data, "#000000", &x0, &y0);
      chamber_at(svg.data, "#ffffff", &x1, &y1);
      const double toward_back[] = {y0 - y1, y1 - y0, x1 - x0, x0 - x1}; /* toward, away, left, right */
      const double toward_sprue[] = {y0 - 165, 165 - y0, 165 - x0, x0 - 165};
      assert_true(toward_back[back] > 10);
      assert_true(toward_sprue[sprue] > 0);
      dw_text_free(&svg);
    }
}

static void test_json_keys(void **state) {
  (void)state;
  dw_shelf *shelf = NULL;
  dw_plan plan;
  assert_int_equal(dw_shelf_starter(&shelf, NULL), DW_OK);
  dw_plan_job job = job_of(shelf);
  assert_int_equal(dw_plan_make(&job, &plan, NULL), DW_OK);
  json_t *json = dw_json_plan(&job, &plan), *cup = json_array_get(json_object_get(json, "cups"), 0);
  assert_string_equal(json_string_value(json_object_get(cup, "layer")), "back");
  assert_near(json_number_value(json_object_get(cup, "volume_ml")), 295.74, 1e-9);
  assert_near(json_number_value(json_object_get(json_object_get(cup, "drops"), "brown")), 40, 0);
  assert_int_equal(json_integer_value(json_object_get(cup, "chamber")), 2);
  assert_true(json_is_null(json_object_get(json, "shots"))); /* nothing is known of the injector */
  assert_true(json_is_true(json_object_get(json, "enough")));
  json_decref(json);
  dw_shelf_free(shelf);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_volumes_drops_and_chambers),
      cmocka_unit_test(test_drawing),
      cmocka_unit_test(test_drawn_chambers_stand_by_the_backs),
      cmocka_unit_test(test_json_keys),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
