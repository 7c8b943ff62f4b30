/* Previews: the mean of the light of each new pixel's area, right way up, and their JPEG bytes. */
#include "pictures.h"

#include "dropwise/color.h"

#include <math.h>
#include <png.h>
#include <stdlib.h>
#include <string.h>

static double overlap(double a0, double a1, double b0, double b1) {
  double low = a0 > b0 ? a0 : b0, high = a1 < b1 ? a1 : b1;
  return high > low ? high - low : 0;
}

/* The mean linear light of channel c over the area of preview pixel x, y, as an sRGB code (not rounded). */
static double area_code(const picture *p, int w, int h, int x, int y, int c) {
  double sx = (double)p->w / w, sy = (double)p->h / h, sum = 0;
  for (int v = (int)(y * sy); v < p->h && v < (y + 1) * sy; v++)
    for (int u = (int)(x * sx); u < p->w && u < (x + 1) * sx; u++) {
      double weight = overlap(u, u + 1, x * sx, (x + 1) * sx) * overlap(v, v + 1, y * sy, (y + 1) * sy);
      sum += weight * dw_srgb_decode(p->bytes[3 * (v * p->w + u) + c] / 255.0);
    }
  return 255 * dw_srgb_encode(sum / (sx * sy));
}

static void assert_preview(const dw_preview *preview, const picture *p) {
  for (int y = 0; y < preview->height; y++)
    for (int x = 0; x < preview->width; x++)
      for (int c = 0; c < 3; c++) {
        double expected = area_code(p, preview->width, preview->height, x, y, c);
        int got = preview->rgb[3 * (y * preview->width + x) + c];
        if (fabs(got - expected) > 0.51) fail_msg("%d,%d,%d: %d, expected %.3f", x, y, c, got, expected);
      }
}

static dw_preview preview_of(const char *path, int max_side, dw_arena *arena) {
  dw_preview preview;
  dw_error err;
  dw_photo *photo = photo_open_ok(path);
  if (dw_photo_preview(photo, max_side, arena, &preview, &err) != DW_OK) fail_msg("%s", err.text);
  dw_photo_close(photo);
  return preview;
}

static void test_png_by_areas(void **state) {
  static const int sides[] = {1, 2, 7, 40, 64, 99, 100, 131, 132, 5000};
  const char *path = in_folder(state, "a.png");
  picture p = picture_make(131, 77, 3, 8);
  for (int interlaced = 0; interlaced < 2; interlaced++) {
    png_write(path, &p,
              &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8, .srgb = 1, .interlaced = interlaced});
    for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
      dw_arena *arena = dw_arena_new(0);
      dw_preview preview = preview_of(path, sides[i], arena);
      int longest = sides[i] < 131 ? sides[i] : 131;
      assert_int_equal(preview.width, longest);
      assert_int_equal(preview.height, (int)fmax(1, round(77.0 * longest / 131)));
      assert_true(fabs(preview.scale - longest / 131.0) < 1e-12);
      assert_preview(&preview, &p);
      dw_arena_free(arena);
    }
  }
  free(p.bytes);
}

static void test_orientations(void **state) {
  const char *path = in_folder(state, "a.png");
  picture p = picture_make(60, 44, 3, 8);
  for (int o = 1; o <= 8; o++) {
    png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8, .srgb = 1, .orientation = o});
    picture turned = picture_turned(&p, o);
    dw_arena *arena = dw_arena_new(0);
    dw_preview preview = preview_of(path, 30, arena);
    assert_int_equal(preview.width, o < 5 ? 30 : 22);
    assert_preview(&preview, &turned);
    dw_arena_free(arena);
    free(turned.bytes);
  }
  free(p.bytes);
}

/* The decoder's own reduction comes first: the largest power of 2 that leaves at least the wanted size. */
static void test_jpeg_reductions(void **state) {
  static const int sides[] = {400, 399, 200, 199, 130, 100, 99, 50, 49, 20};
  static const int reduce[] = {1, 1, 2, 2, 2, 4, 4, 8, 8, 8};
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(400, 296, 3, 8);
  for (int progressive = 0; progressive < 2; progressive++) {
    jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2, .progressive = progressive});
    for (size_t i = 0; i < sizeof sides / sizeof *sides; i++) {
      dw_arena *arena = dw_arena_new(0);
      picture reduced = jpeg_read(path, 3, reduce[i]);
      dw_preview preview = preview_of(path, sides[i], arena);
      assert_int_equal(preview.width, sides[i]);
      assert_preview(&preview, &reduced);
      dw_arena_free(arena);
      free(reduced.bytes);
    }
  }
  free(p.bytes);
}

static void test_sizes_out_of_range(void **state) {
  const char *path = in_folder(state, "a.png");
  picture p = picture_make(4, 300, 3, 8);
  png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8});
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  dw_preview preview;
  dw_error err;
  assert_int_equal(dw_photo_preview(photo, 0, arena, &preview, &err), DW_BAD_INPUT);
  assert_int_equal(dw_photo_preview(photo, 1000000, arena, &preview, &err), DW_BAD_INPUT);
  assert_int_equal(dw_photo_preview(photo, 10, arena, &preview, &err), DW_OK);
  assert_int_equal(preview.width, 1);
  assert_int_equal(preview.height, 10);
  dw_arena_free(arena);
  dw_photo_close(photo);
  free(p.bytes);
}

static void test_jpeg_bytes(void **state) {
  const char *path = in_folder(state, "a.png");
  picture p = {300, 200, 3, 8, malloc(300 * 200 * 3)};
  assert_non_null(p.bytes);
  for (int i = 0; i < 300 * 200 * 3; i++) p.bytes[i] = (uint8_t)((i / 3 % 300 + i % 3 * 40) / 2);
  png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8, .srgb = 1});
  dw_arena *arena = dw_arena_new(0);
  dw_preview preview = preview_of(path, 300, arena);
  uint8_t *bytes = NULL;
  size_t n = 0, small = 0;
  assert_int_equal(dw_preview_jpeg(&preview, 95, &bytes, &n, NULL), DW_OK);
  const char *out = in_folder(state, "out.jpg");
  bytes_write(out, bytes, n);
  free(bytes);
  picture back = jpeg_read(out, 3, 1);
  assert_int_equal(back.w, 300);
  assert_int_equal(back.h, 200);
  for (int i = 0; i < 300 * 200 * 3; i++) assert_true(abs(back.bytes[i] - p.bytes[i]) < 8);
  assert_int_equal(dw_preview_jpeg(&preview, 30, &bytes, &small, NULL), DW_OK);
  assert_true(small < n);
  free(bytes);
  free(back.bytes);
  free(p.bytes);
  dw_arena_free(arena);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_png_by_areas, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_orientations, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_jpeg_reductions, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_sizes_out_of_range, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_jpeg_bytes, folder_make, folder_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
