/* The card's data and places. */
#include "card/scene.h"
#include "dropwise/card.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>
#include <glob.h>
#include <stdio.h>

/* Where Debian's argyll-ref puts reference values of many charts. */
#define REFERENCE_FILES "/usr/share/color/argyll/ref/*.cie"
/* Its values have two decimals. */
#define LAST_DIGIT 0.006

/* sRGB values published for the 24-patch chart (8 bit, as carried by many imaging texts; from memory). */
static const uint8_t srgb8[24][3] = {
    {115, 82, 68},   {194, 150, 130}, {98, 122, 157},  {87, 108, 67},   {133, 128, 177}, {103, 189, 170},
    {214, 126, 44},  {80, 91, 166},   {193, 90, 99},   {94, 60, 108},   {157, 188, 64},  {224, 163, 46},
    {56, 61, 150},   {70, 148, 73},   {175, 54, 60},   {231, 199, 31},  {187, 86, 149},  {8, 133, 161},
    {243, 243, 242}, {200, 200, 200}, {160, 160, 160}, {122, 122, 121}, {85, 85, 85},    {52, 52, 52}};

static void test_grid24_agrees_with_other_publications(void **state) {
  (void)state;
  const dw_card *card = dw_card_named("grid24"), *later = dw_card_named("grid24-late");
  double srgb = 0.0, srgb_most = 0.0, new = 0.0, new_most = 0.0;
  assert_int_equal(card->rows, 4);
  assert_int_equal(card->cols, 6);
  for (size_t i = 0; i < 24; i++) {
    const double a = dw_de00(card->lab[i], dw_lab_from_srgb8(srgb8[i])),
                 b = dw_de00(card->lab[i], later->lab[i]);
    srgb += a / 24.0;
    new += b / 24.0;
    srgb_most = fmax(srgb_most, a);
    new_most = fmax(new_most, b);
  }
  printf("grid24 against sRGB values: mean %.2f max %.2f; against later charts: mean %.2f max %.2f\n", srgb,
         srgb_most, new, new_most);
  assert_true(srgb < 2.0 && srgb_most < 4.2);
  assert_true(new < 1.0 && new_most < 2.0);
}

static double furthest(const dw_card *a, const dw_card *b) {
  double most = 0.0;
  for (size_t i = 0; i < a->rows * a->cols; i++) {
    most = fmax(most, fabs(a->lab[i].L - b->lab[i].L));
    most = fmax(most, fmax(fabs(a->lab[i].a - b->lab[i].a), fabs(a->lab[i].b - b->lab[i].b)));
  }
  return most;
}

/* The package holds charts of several makers; the usual one is found by what is in the file. Values near ours
 * in every patch, yet not ours, would be a slip of typing. */
static void test_grid24_is_what_a_package_carries(void **state) {
  (void)state;
  glob_t files = {0};
  if (glob(REFERENCE_FILES, 0, NULL, &files) != 0) {
    printf("skipped: no reference values of charts at " REFERENCE_FILES "\n");
    skip();
  }
  size_t same = 0;
  for (size_t i = 0; i < files.gl_pathc; i++) {
    static dw_card card;
    dw_error err;
    if (dw_card_load(files.gl_pathv[i], &card, &err) != DW_OK || card.rows != 4 || card.cols != 6) continue;
    const double off = furthest(&card, dw_card_named("grid24-early"));
    printf("%s: %.3f at most from grid24-early, %.3f from grid24-late\n", files.gl_pathv[i], off,
           furthest(&card, dw_card_named("grid24-late")));
    if (off < LAST_DIGIT) same++;
  }
  globfree(&files);
  assert_true(same >= 1);
}

static void test_grid24_last_row_is_the_gray_ramp(void **state) {
  (void)state;
  const dw_card *card = dw_card_named("grid24");
  for (size_t i = 18; i < 24; i++) {
    assert_true(hypot(card->lab[i].a, card->lab[i].b) < 1.5);
    if (i > 18) assert_true(card->lab[i].L < card->lab[i - 1].L - 10.0);
  }
  for (size_t i = 0; i < 18; i++) assert_true(hypot(card->lab[i].a, card->lab[i].b) > 10.0);
  assert_string_equal(card->id[0], "A1");
  assert_string_equal(card->id[23], "D6");
}

static void test_corners_parse(void **state) {
  (void)state;
  dw_corners c;
  dw_error err;
  assert_int_equal(dw_corners_parse("37,314,37,28.5,208,28.5,208,314", &c, &err), DW_OK);
  assert_true(c.xy[3] == 28.5 && c.xy[7] == 314.0);
  static const char *const bad[] = {"",
                                    "1,2,3",
                                    "1,2,3,4,5,6,7",
                                    "1,2,3,4,5,6,7,8,9",
                                    "1,2,3,4,5,6,7,x",
                                    "1,2,3,4,5,6,7,nan",
                                    "1,2,3,4,5,6,7,inf",
                                    "1;2;3;4;5;6;7;8"};
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
    assert_int_equal(dw_corners_parse(bad[i], &c, &err), DW_BAD_INPUT);
    assert_non_null(strstr(err.text, "eight numbers"));
  }
  assert_int_equal(dw_corners_parse(NULL, &c, &err), DW_BAD_INPUT);
}

static void test_rects_lie_in_the_middle_of_the_cells(void **state) {
  (void)state;
  const dw_corners c = {{100, 100, 400, 100, 400, 280, 100, 280}}; /* spacing 60 */
  const dw_photo_info photo = {.width = 800, .height = 600};
  dw_rect r[24];
  dw_error err;
  assert_int_equal(dw_card_rects(dw_card_named("grid24"), &c, &photo, r, &err), DW_OK);
  for (int i = 0; i < 24; i++) { /* the middle half: 15 pixels to each side of the center, 31 in all */
    assert_int_equal(r[i].x, 100 + 60 * (i % 6) - 15);
    assert_int_equal(r[i].y, 100 + 60 * (i / 6) - 15);
    assert_int_equal(r[i].w, 31);
    assert_int_equal(r[i].h, 31);
  }
}

/* A pinhole view of a slanted plane: every patch center must project where the pinhole says. */
static void test_rects_follow_perspective(void **state) {
  (void)state;
  double corner[8];
  const double grid[4][2] = {{0, 0}, {5, 0}, {5, 3}, {0, 3}};
#define PINHOLE_X(u, v) (400 + 800 * ((u)-2.5) / (8 + 0.5 * (u) + 0.2 * (v)))
#define PINHOLE_Y(u, v) (300 + 800 * ((v)-1.5) / (8 + 0.5 * (u) + 0.2 * (v)))
  for (int k = 0; k < 4; k++) {
    corner[2 * k] = PINHOLE_X(grid[k][0], grid[k][1]);
    corner[2 * k + 1] = PINHOLE_Y(grid[k][0], grid[k][1]);
  }
  dw_corners c;
  memcpy(c.xy, corner, sizeof corner);
  for (size_t i = 0; i < 24; i++) {
    double xy[8];
    const double u = (double)(i % 6), v = (double)(i / 6);
    dw_error err;
    assert_int_equal(dw_card_outline(dw_card_named("grid24"), &c, i, xy, &err), DW_OK);
    assert_true(fabs(xy[0] - PINHOLE_X(u - 0.4, v - 0.4)) < 1e-6);
    assert_true(fabs(xy[5] - PINHOLE_Y(u + 0.4, v + 0.4)) < 1e-6);
  }
}

static void rects_refuse(const double xy[8], dw_status status, const char *words) {
  const dw_photo_info photo = {.width = 800, .height = 600};
  dw_corners c;
  dw_rect r[24];
  dw_error err;
  memcpy(c.xy, xy, sizeof c.xy);
  assert_int_equal(dw_card_rects(dw_card_named("grid24"), &c, &photo, r, &err), status);
  if (strstr(err.text, words) == NULL) fail_msg("\"%s\" does not say \"%s\"", err.text, words);
}

static void test_rects_refuse_impossible_corners(void **state) {
  (void)state;
  rects_refuse((double[8]){100, 100, 900, 100, 400, 280, 100, 280}, DW_BAD_INPUT, "Corner 2");
  rects_refuse((double[8]){-1, 100, 400, 100, 400, 280, 100, 280}, DW_BAD_INPUT, "outside of the photo");
  rects_refuse((double[8]){100, 100, 400, 100, NAN, 280, 100, 280}, DW_BAD_INPUT, "Corner 3");
  rects_refuse((double[8]){100, 100, 400, 280, 400, 100, 100, 280}, DW_BAD_INPUT, "do not go around");
  rects_refuse((double[8]){100, 100, 400, 100, 150, 120, 100, 280}, DW_BAD_INPUT, "do not go around");
  rects_refuse((double[8]){100, 100, 100, 100, 100, 100, 100, 100}, DW_BAD_INPUT, "do not go around");
  rects_refuse((double[8]){100, 100, 130, 100, 130, 118, 100, 118}, DW_REFUSED, "pixels apart");
  rects_refuse((double[8]){10, 10, 700, 10, 700, 50, 10, 50}, DW_REFUSED, "too slanted");
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_grid24_agrees_with_other_publications),
      cmocka_unit_test(test_grid24_is_what_a_package_carries),
      cmocka_unit_test(test_grid24_last_row_is_the_gray_ramp),
      cmocka_unit_test(test_corners_parse),
      cmocka_unit_test(test_rects_lie_in_the_middle_of_the_cells),
      cmocka_unit_test(test_rects_follow_perspective),
      cmocka_unit_test(test_rects_refuse_impossible_corners),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
