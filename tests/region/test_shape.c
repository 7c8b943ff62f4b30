#include "dropwise/numeric.h"
#include "dropwise/region.h"

#include <math.h>
#include <setjmp.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static const dw_photo_info photo = {.width = 4000, .height = 3000};

static size_t pixels_of(const char *text) {
  dw_shape shape;
  dw_rect rect;
  dw_error err;
  assert_int_equal(dw_shape_parse(text, &shape, &err), DW_OK);
  assert_int_equal(dw_shape_bounds(&shape, &photo, &rect, &err), DW_OK);
  size_t n = (size_t)rect.w * (size_t)rect.h, count = 0;
  uint8_t *mask = malloc(n);
  assert_non_null(mask);
  memset(mask, 7, n);
  dw_shape_mask(&shape, &rect, mask);
  for (size_t i = 0; i < n; i++) {
    assert_in_range(mask[i], 0, 1);
    count += mask[i];
  }
  free(mask);
  return count;
}

/* Counts that follow from the definition: a center at whole coordinates inside, left and top edges in. */
static void test_pixel_counts(void **state) {
  (void)state;
  assert_int_equal(pixels_of("rect:0,0,10x5"), 50);
  assert_int_equal(pixels_of("rect: 0.5 , 0.5 , 10 x 5"), 50);
  assert_int_equal(pixels_of("rect:-5,-2,10x5"), 5 * 3);
  assert_int_equal(pixels_of("rect:3990,2990,100x100"), 100);
  assert_int_equal(pixels_of("poly:0,0;10,0;10,5;0,5"), 50);
  assert_int_equal(pixels_of("poly:0,0;0,5;10,5;10,0"), 50); /* the other way round */
  assert_int_equal(pixels_of("ellipse:50,50,1x1"), 5);       /* a cross: center and its four neighbors */
  assert_int_equal(pixels_of("ellipse:50,50,2x2"), 13);      /* Gauss circle problem, N(2) = 13 */
  assert_int_equal(pixels_of("ellipse:50,50,10x10"), 317);   /* N(10) = 317, OEIS A000328 */
  assert_int_equal(pixels_of("rect:7,7,0.5x0.5"), 1);
}

/* A bow tie crosses itself: both wings count once, an overlap of two turns (even-odd) not at all. */
static void test_crossing_polygons(void **state) {
  (void)state;
  size_t tie = pixels_of("poly:0,0;100,100;100,0;0,100");
  assert_true(fabs((double)tie - 5000) < 150);
  assert_int_equal(pixels_of("poly:0,0;30,0;30,30;0,30;0,0;20,0;20,30;0,30"), 10 * 30);
}

/* Shapes that share an edge share no pixel and leave none out, wherever the edge runs. */
static void test_neighbors_never_overlap(void **state) {
  (void)state;
  assert_int_equal(pixels_of("poly:0,0;37,0;90,61;0,61") + pixels_of("poly:37,0;123,0;123,61;90,61"),
                   123 * 61);
}

static void test_format_round_trip(void **state) {
  (void)state;
  static const char *const texts[] = {"rect:1,2,3x4", "rect:-1.5,2.25,3x4.125", "ellipse:150,100,30x20.5",
                                      "poly:10,10;90.5,15;50,70"};
  char out[DW_SHAPE_TEXT_MAX];
  for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
    dw_shape shape;
    assert_int_equal(dw_shape_parse(texts[i], &shape, NULL), DW_OK);
    dw_shape_format(&shape, out, sizeof out);
    assert_string_equal(out, texts[i]);
    dw_shape_format(&shape, out, 9);
    assert_string_equal(out, "");
    dw_shape_format(&shape, out, 0);
  }
}

static void test_longest_polygon_fits_its_text(void **state) {
  (void)state;
  dw_shape shape = {.kind = DW_SHAPE_POLY, .n = DW_SHAPE_POINTS_MAX};
  for (size_t i = 0; i < 2 * DW_SHAPE_POINTS_MAX; i++) shape.xy[i] = -1.23456789e-9 * (double)(i + 1);
  char out[DW_SHAPE_TEXT_MAX];
  dw_shape_format(&shape, out, sizeof out);
  assert_true(strlen(out) > 1000);
}

static void refused(const char *text, const char *word) {
  dw_shape shape, before;
  memset(&shape, 0x5a, sizeof shape);
  before = shape;
  dw_error err = {0};
  assert_int_equal(dw_shape_parse(text, &shape, &err), DW_USAGE);
  assert_memory_equal(&shape, &before, sizeof shape);
  if (!strstr(err.text, word)) fail_msg("'%s' should say '%s'", err.text, word);
  assert_true(err.text[strlen(err.text) - 1] == '.');
}

static void test_refusals(void **state) {
  (void)state;
  refused("", "not understood");
  refused("box:1,2,3x4", "rect:X,Y,WxH");
  refused("rect:1,2,3", "rect:X,Y,WxH");
  refused("rect:1,2,3x4x5", "rect:X,Y,WxH");
  refused("rect:1,2,nanx4", "rect:X,Y,WxH");
  refused("rect:1,2,infx4", "rect:X,Y,WxH");
  refused("rect:1,2,0x4", "no area");
  refused("rect:1,2,3x-4", "no area");
  refused("rect:1e300,2,3x4", "beyond any photo");
  refused("ellipse:1,2,0x0", "no area");
  refused("ellipse:1;2,3x4", "ellipse:CX,CY,RXxRY");
  refused("poly:", "Point 1");
  refused("poly:1,2;3,4", "fewer than 3");
  refused("poly:1,2;3,4;5", "Point 3");
  refused("poly:1,2;3,4;5,6;", "Point 4");
  refused("poly:0,0;1,1;2,2;3,3", "one line");
  refused("poly:5,5;5,5;5,5", "one line");
  refused("rect:\x1b[2J\x01", "?[2J?");
}

static void test_too_many_points(void **state) {
  (void)state;
  dw_text text = {0};
  dw_text_add(&text, "poly:0,0");
  for (int i = 1; i < DW_SHAPE_POINTS_MAX; i++) dw_text_add(&text, ";%d,%d", i, i * i % 97);
  dw_shape shape;
  assert_int_equal(dw_shape_parse(text.data, &shape, NULL), DW_OK);
  dw_text_add(&text, ";1,5");
  refused(text.data, "more than 512 points");
  dw_text_free(&text);
}

static void test_bounds(void **state) {
  (void)state;
  dw_shape shape;
  dw_rect rect;
  dw_error err;
  assert_int_equal(dw_shape_parse("rect:-5,10.5,20x3000", &shape, &err), DW_OK);
  assert_int_equal(dw_shape_bounds(&shape, &photo, &rect, &err), DW_OK);
  assert_true(rect.x == 0 && rect.w == 15 && rect.y == 11 && rect.h == 3000 - 11);
  static const char *const outside[] = {"rect:4000,0,10x10", "rect:-10,0,10x10", "ellipse:0,5000,10x10",
                                        "rect:0.2,0,0.5x10", "poly:0,-9;9,-9;5,-1"};
  for (size_t i = 0; i < sizeof outside / sizeof *outside; i++) {
    assert_int_equal(dw_shape_parse(outside[i], &shape, &err), DW_OK);
    assert_int_equal(dw_shape_bounds(&shape, &photo, &rect, &err), DW_BAD_INPUT);
  }
}

/* Mutated texts: an answer or a sentence, never a crash; what parses also gets a box and a mask. */
static void test_mutated_texts(void **state) {
  (void)state;
  static const char *const seeds[] = {"rect:120,80,60x40", "ellipse:150.5,100,30x20",
                                      "poly:10,10;90,15;50,70;-3,1e2"};
  static const char bytes[] = "0123456789.,;:x-+eE rctpolyinfa\x80\n";
  dw_random random = dw_random_seed(11);
  size_t accepted = 0;
  uint8_t *mask = malloc(300 * 300);
  assert_non_null(mask);
  for (int round = 0; round < 200000; round++) {
    char text[64];
    dw_copy_text(text, sizeof text, seeds[round % 3]);
    size_t n = strlen(text);
    for (int k = 0; k <= round % 4; k++)
      text[(size_t)(dw_random_uniform(&random) * (double)n)] =
          bytes[(size_t)(dw_random_uniform(&random) * (double)(sizeof bytes))];
    dw_shape shape;
    dw_rect rect;
    dw_error err = {0};
    if (dw_shape_parse(text, &shape, &err) != DW_OK) {
      assert_int_equal(err.code, DW_USAGE);
      continue;
    }
    accepted++;
    if (dw_shape_bounds(&shape, &(dw_photo_info){.width = 300, .height = 300}, &rect, &err) == DW_OK)
      dw_shape_mask(&shape, &rect, mask);
  }
  free(mask);
  assert_true(accepted > 10000);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_pixel_counts),
      cmocka_unit_test(test_crossing_polygons),
      cmocka_unit_test(test_neighbors_never_overlap),
      cmocka_unit_test(test_format_round_trip),
      cmocka_unit_test(test_longest_polygon_fits_its_text),
      cmocka_unit_test(test_refusals),
      cmocka_unit_test(test_too_many_points),
      cmocka_unit_test(test_bounds),
      cmocka_unit_test(test_mutated_texts),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
