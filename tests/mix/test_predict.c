/* Predicted colors: facts of the trade, see-through, warnings, doubt. The trade facts are common practice, no
 * source. */
#include "check.h"
#include "dropwise/mix.h"

#include <stdlib.h>
#include <string.h>

static const dw_slab bait = {10, DW_BACKING_GRAY};

static int setup(void **state) {
  return dw_shelf_starter((dw_shelf **)state, NULL) == DW_OK ? 0 : -1;
}

static int teardown(void **state) {
  dw_shelf_free(*state);
  return 0;
}

static dw_prediction predict(const dw_shelf *shelf, const char *text, const dw_slab *slab) {
  dw_recipe recipe;
  dw_prediction p = {0};
  dw_error err = {0};
  if (dw_recipe_parse(text, shelf, &recipe, &err) != DW_OK ||
      dw_predict(shelf, &recipe, slab, &p, &err) != DW_OK)
    fail_msg("%s: %s", text, err.text);
  return p;
}

static dw_lch lch(const dw_shelf *shelf, const char *text) {
  return dw_lch_from_lab(predict(shelf, text, &bait).lab);
}

/* "Brown lowers both lightness and saturation of yellow, orange and red." */
static void test_brown_dulls_and_darkens(void **state) {
  const char *const colors[] = {"yellow", "orange", "red"};
  for (int i = 0; i < 3; i++) {
    char text[64];
    snprintf(text, sizeof text, "%s=4", colors[i]);
    dw_lch before = lch(*state, text);
    for (int brown = 1; brown <= 4; brown++) {
      snprintf(text, sizeof text, "%s=4;brown=%d", colors[i], brown);
      const dw_lch after = lch(*state, text);
      assert_true(after.L < before.L - 0.2);
      assert_true(after.C < before.C - 1);
      before = after;
    }
  }
}

/* "Where yellow, orange and blue layers blend, brown appears between them": a hue between red and yellow,
 * well below the chroma and lightness of the orange and yellow it comes from. */
static void test_blue_orange_yellow_make_brown(void **state) {
  const dw_lch bright = lch(*state, "orange=3;yellow=3"), brown = lch(*state, "blue=1;orange=3;yellow=3");
  assert_true(brown.h > 40 && brown.h < 80);
  assert_true(brown.C > 8 && brown.C < 0.6 * bright.C);
  assert_true(brown.L < bright.L - 5);
  char words[64];
  dw_color_words(predict(*state, "blue=1;orange=3;yellow=3", &bait).lab, words, sizeof words);
  const char *last = strrchr(words, ' '); /* behind "dark" or "dull", where one is said */
  if (strcmp(last ? last + 1 : words, "brown") != 0)
    fail_msg("blue, orange and yellow are called \"%s\"", words);
}

/* "More clear base raises see-through and lowers C*" (a lower contrast ratio is clearer). */
static void test_clear_base_thins(void **state) {
  const dw_shelf *shelf = *state;
  for (size_t i = 0; i < shelf->n; i++) {
    const dw_bottle *bottle = &shelf->bottle[i];
    if (bottle->role != DW_ROLE_COLOR) continue;
    char text[64];
    double ratio = 1, chroma = 1000;
    for (double loading = 4; loading > 0.2; loading /= 2) {
      snprintf(text, sizeof text, "%s=%g", bottle->id, loading);
      const dw_prediction p = predict(shelf, text, &bait);
      assert_true(p.see_through < ratio);
      assert_true(dw_lch_from_lab(p.lab).C < chroma);
      ratio = p.see_through;
      chroma = dw_lch_from_lab(p.lab).C;
    }
  }
}

static void test_white_lightens_and_hides_black_kills(void **state) {
  const dw_prediction clear = predict(*state, "", &bait), white = predict(*state, "white=4", &bait);
  assert_true(white.lab.L > clear.lab.L + 20);
  assert_true(white.see_through > clear.see_through + 0.4);
  assert_true(predict(*state, "orange=4;black=1", &bait).lab.L <
              predict(*state, "orange=4", &bait).lab.L - 15);
}

/* Every bottle goes from see-through to opaque over usual loadings. */
static void test_loadings_span_clear_to_opaque(void **state) {
  const dw_shelf *shelf = *state;
  for (size_t i = 0; i < shelf->n; i++) {
    char text[64];
    snprintf(text, sizeof text, "%s=0.25", shelf->bottle[i].id);
    assert_true(predict(shelf, text, &bait).see_through < 0.3);
    snprintf(text, sizeof text, "%s=12", shelf->bottle[i].id);
    assert_true(predict(shelf, text, &bait).see_through > 0.7);
  }
}

/* Contrast ratio: Y over black divided by Y over white (ISO 6504-3). With no plastic it is that of the
 * backings under the surface; a very thick slab hides fully. */
static void test_contrast_ratio(void **state) {
  const dw_slab none = {0, 0.5}, thick = {1000, 0.5};
  const double k2 = 0.6, black = 0.04 / (1 - k2 * 0.04), white = 0.886 / (1 - k2 * 0.886);
  assert_near(predict(*state, "orange=4", &none).see_through, black / white, 1e-9);
  assert_near(predict(*state, "orange=4", &thick).see_through, 1, 1e-6);
  const dw_slab over_black = {6, 0.04}, over_white = {6, 0.886};
  const dw_prediction b = predict(*state, "pink=2", &over_black), w = predict(*state, "pink=2", &over_white);
  assert_near(b.see_through, b.xyz.Y / w.xyz.Y, 1e-12);
  assert_near(w.see_through, b.see_through, 1e-12);
}

static void test_the_solvers_inner_step_agrees(void **state) {
  const dw_shelf *shelf = *state;
  double c[DW_SHELF_MAX] = {0};
  c[dw_shelf_find(shelf, "orange")] = 3.5;
  c[dw_shelf_find(shelf, "blue")] = 0.75;
  const dw_lab lab = dw_predict_lab(shelf, c, &bait);
  assert_near(dw_de00(lab, predict(shelf, "orange=3.5;blue=0.75", &bait).lab), 0, 1e-9);
}

static void test_warnings(void **state) {
  assert_int_equal(predict(*state, "orange=12;blue=1", &bait).notes.n, 0);
  dw_prediction p = predict(*state, "orange=12.5", &bait);
  assert_int_equal(p.notes.n, 1);
  assert_non_null(strstr(p.notes.text[0], "orange at 12.5"));
  p = predict(*state, "pearl=1", &bait);
  assert_int_equal(p.notes.n, 1);
  assert_non_null(strstr(p.notes.text[0], "marked guess"));
}

static void test_doubt(void **state) {
  dw_shelf *shelf = NULL;
  assert_int_equal(dw_shelf_clone(*state, &shelf, NULL), DW_OK);
  assert_near(predict(shelf, "orange=4", &bait).uncertainty_de00, 0, 0);
  dw_bottle *orange = &shelf->bottle[dw_shelf_find(shelf, "orange")];
  /* Half of the draws as they are, half with k doubled: the root mean square is the difference / sqrt(2). */
  orange->draws = malloc(DW_DRAWS * sizeof *orange->draws);
  assert_non_null(orange->draws);
  for (int d = 0; d < DW_DRAWS; d++) {
    orange->draws[d] = orange->spectra;
    for (int j = 0; j < DW_BANDS; j++) orange->draws[d].k[j] *= d % 2 ? 2 : 1;
  }
  const dw_lab lab = predict(shelf, "orange=4", &bait).lab;
  const double doubt = predict(shelf, "orange=4", &bait).uncertainty_de00;
  orange->spectra = orange->draws[1];
  assert_near(doubt, dw_de00(lab, predict(shelf, "orange=4", &bait).lab) / sqrt(2), 1e-9);
  /* A strength known within 10% is as good as a loading known within 10%. */
  shelf->bottle[dw_shelf_find(shelf, "blue")].strength_sd = log(1.1);
  assert_near(predict(shelf, "blue=3", &bait).uncertainty_de00,
              dw_de00(predict(shelf, "blue=3", &bait).lab, predict(shelf, "blue=3.3", &bait).lab), 1e-9);
  dw_shelf_free(shelf);
}

static void test_out_of_range_is_refused(void **state) {
  const dw_shelf *shelf = *state;
  dw_prediction p = {.see_through = 7};
  dw_error err = {0};
  const dw_recipe one = {1, {{0, 3}}};
  const dw_slab bad_slabs[] = {{-1, 0.2}, {NAN, 0.2}, {2000, 0.2}, {10, -0.1}, {10, 1.1}, {10, NAN}};
  for (size_t i = 0; i < sizeof bad_slabs / sizeof *bad_slabs; i++)
    assert_int_equal(dw_predict(shelf, &one, &bad_slabs[i], &p, &err), DW_BAD_INPUT);
  const dw_recipe bad[] = {{1, {{0, -1}}}, {1, {{0, NAN}}}, {1, {{0, 1e9}}}, {1, {{63, 1}}}, {13, {{0, 1}}}};
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
    assert_int_equal(dw_predict(shelf, &bad[i], &bait, &p, &err), DW_BAD_INPUT);
  assert_near(p.see_through, 7, 0);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_brown_dulls_and_darkens),
                                     cmocka_unit_test(test_blue_orange_yellow_make_brown),
                                     cmocka_unit_test(test_clear_base_thins),
                                     cmocka_unit_test(test_white_lightens_and_hides_black_kills),
                                     cmocka_unit_test(test_loadings_span_clear_to_opaque),
                                     cmocka_unit_test(test_contrast_ratio),
                                     cmocka_unit_test(test_the_solvers_inner_step_agrees),
                                     cmocka_unit_test(test_warnings),
                                     cmocka_unit_test(test_doubt),
                                     cmocka_unit_test(test_out_of_range_is_refused)};
  return cmocka_run_group_tests(tests, setup, teardown);
}
