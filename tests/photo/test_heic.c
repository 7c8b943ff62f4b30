/* HEIC as phones write it, made here with libheif: each reads as the same picture does as PNG. */
#include "heic_write.h"
#include "profiles.h"

#include "dropwise/color.h"

#include <png.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { TILE = 16, WIDE = 6, HIGH = 4 };
static const double off_max = 1.0; /* in Lab: what is asked for, between lossy and lossless */

/* Tiles of one color each, so that coded chroma at half the size costs no more than their edges. */
static picture tiles(int bits) {
  picture p = {WIDE * TILE, HIGH * TILE, 3, bits, NULL};
  p.bytes = malloc((size_t)p.w * (size_t)p.h * 3 * (size_t)(bits / 8));
  assert_non_null(p.bytes);
  for (int i = 0; i < 3 * p.w * p.h; i++) {
    int pixel = i / 3, tile = pixel / p.w / TILE * WIDE + pixel % p.w / TILE, c = i % 3;
    int level = 30 + (tile * (c == 0 ? 8 : c == 1 ? 53 : 101) + c * 70) % 200; /* of 255 */
    if (bits == 8)
      p.bytes[i] = (uint8_t)level;
    else
      ((uint16_t *)(void *)p.bytes)[i] = (uint16_t)(level * 257 + 64);
  }
  return p;
}

static void linear_mean(const dw_patch *patch, double out[3]) {
  size_t n = (size_t)patch->rect.w * (size_t)patch->rect.h;
  out[0] = out[1] = out[2] = 0;
  for (size_t i = 0; i < 3 * n; i++) out[i % 3] += patch->rgb[i] / (double)n;
}

/* Lab of the middle of each tile of an upright picture; returns their number. */
static size_t read_tiles(const char *path, dw_lab out[WIDE * HIGH], int *width) {
  dw_error err;
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  int across = dw_photo_info_get(photo)->width / TILE, n = 0;
  *width = dw_photo_info_get(photo)->width;
  for (; n < WIDE * HIGH; n++) {
    dw_rect middle = {n % across * TILE + 5, n / across * TILE + 5, 6, 6};
    dw_patch patch;
    double rgb[3];
    if (dw_photo_patches(photo, &middle, 1, arena, &patch, &err) != DW_OK) fail_msg("%s", err.text);
    linear_mean(&patch, rgb);
    out[n] = dw_lab_from_xyz(dw_xyz_from_linear(rgb));
  }
  dw_arena_free(arena);
  dw_photo_close(photo);
  return (size_t)n;
}

static double distance(dw_lab a, dw_lab b) {
  return sqrt((a.L - b.L) * (a.L - b.L) + (a.a - b.a) * (a.a - b.a) + (a.b - b.b) * (a.b - b.b));
}

static void assert_same_tiles(const char *heic, const char *png) {
  dw_lab a[WIDE * HIGH], b[WIDE * HIGH];
  int width_a, width_b;
  size_t n = read_tiles(heic, a, &width_a);
  read_tiles(png, b, &width_b);
  assert_int_equal(width_a, width_b);
  for (size_t i = 0; i < n; i++)
    if (distance(a[i], b[i]) > off_max)
      fail_msg("tile %zu: %.2f %.2f %.2f, as PNG %.2f %.2f %.2f", i, a[i].L, a[i].a, a[i].b, b[i].L, b[i].a,
               b[i].b);
}

static void write_heic(const char *path, const picture *p, const heic_how *how) {
  if (!heic_write(path, p, how)) {
    print_message("this libheif brings no HEVC encoder\n");
    skip();
  }
}

static void check(void **state, const heic_how *how, const void *png_icc, size_t png_icc_bytes) {
  const char *heic = in_folder(state, "a.heic"), *png = in_folder(state, "a.png");
  picture p = tiles(how->bits == 8 ? 8 : 16);
  picture upright = picture_turned(&p, how->orientation ? how->orientation : 1);
  write_heic(heic, &p, how);
  png_write(
      png, &upright,
      &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = p.bits, .icc = png_icc, .icc_bytes = png_icc_bytes});
  assert_same_tiles(heic, png);
  free(p.bytes);
  free(upright.bytes);
}

static void test_both_depths(void **state) {
  check(state, &(heic_how){.bits = 8, .primaries = 1, .transfer = 13}, NULL, 0);
  check(state, &(heic_how){.bits = 10, .primaries = 1, .transfer = 13}, NULL, 0);
}

/* The file's own turn counts; the camera writes the same into EXIF, or another, which must not count again.
 */
static void test_every_orientation(void **state) {
  for (int orientation = 1; orientation <= 8; orientation++)
    for (int exif = 0; exif <= 8; exif += 4)
      check(state,
            &(heic_how){.bits = 8,
                        .primaries = 1,
                        .transfer = 13,
                        .orientation = orientation,
                        .exif_orientation = exif == 4 ? orientation : exif},
            NULL, 0);
}

static void test_wide_colors(void **state) {
  size_t n;
  void *icc = p3_profile(&n);
  check(state, &(heic_how){.bits = 8, .icc = icc, .icc_bytes = n}, icc, n);
  check(state, &(heic_how){.bits = 10, .icc = icc, .icc_bytes = n}, icc, n);
  check(state, &(heic_how){.bits = 8, .primaries = 12, .transfer = 13}, icc, n);
  check(state, &(heic_how){.bits = 10, .primaries = 12, .transfer = 13}, icc, n);
  free(icc);
}

/* ITU-R BT.709, 1.2, inverted: from the stored number to light. */
static double light_of_bt709(double v) {
  return v < 0.081 ? v / 4.5 : pow((v + 0.099) / 1.099, 1 / 0.45);
}

static void test_bt709_curve(void **state) {
  const char *path = in_folder(state, "a.heic");
  picture p = tiles(8);
  dw_lab read[WIDE * HIGH];
  int width;
  write_heic(path, &p, &(heic_how){.bits = 8, .primaries = 1, .transfer = 1});
  read_tiles(path, read, &width);
  for (int i = 0; i < WIDE * HIGH; i++) {
    const uint8_t *pixel = p.bytes + 3 * ((i / WIDE * TILE + 8) * p.w + i % WIDE * TILE + 8);
    double rgb[3];
    for (int c = 0; c < 3; c++) rgb[c] = light_of_bt709(pixel[c] / 255.0);
    dw_lab expected = dw_lab_from_xyz(dw_xyz_from_linear(rgb));
    if (distance(read[i], expected) > off_max)
      fail_msg("tile %d: off by %.2f", i, distance(read[i], expected));
  }
  free(p.bytes);
}

static void assert_info(const char *path, const char *profile, int bits) {
  dw_photo *photo = photo_open_ok(path);
  const dw_photo_info *info = dw_photo_info_get(photo);
  assert_string_equal(info->format, "HEIC");
  assert_string_equal(info->profile, profile);
  assert_int_equal(info->bits, bits);
  assert_int_equal(info->orientation, 1);
  assert_string_equal(info->taken, "2026-05-01 14:03:22");
  dw_photo_close(photo);
}

static void test_what_the_header_says(void **state) {
  const char *path = in_folder(state, "a.heic");
  picture p = tiles(8), deep = tiles(16);
  write_heic(path, &p, &(heic_how){.bits = 8, .primaries = 1, .transfer = 13, .exif_orientation = 6});
  assert_info(path, "sRGB (named in the file)", 8);
  write_heic(path, &deep, &(heic_how){.bits = 10, .primaries = 12, .transfer = 13, .exif_orientation = 6});
  assert_info(path, "Display P3 (color codes 12 and 13)", 16);
  write_heic(path, &p, &(heic_how){.bits = 8, .exif_orientation = 6});
  assert_info(path, "sRGB (none embedded)", 8);
  free(p.bytes);
  free(deep.bytes);
}

static void assert_refused(const char *path, const dw_photo_limits *limits, dw_status status,
                           const char *words) {
  dw_photo *photo = NULL;
  dw_error err;
  assert_int_equal(dw_photo_open(path, limits, &photo, &err), status);
  if (!strstr(err.text, words)) fail_msg("\"%s\" does not say \"%s\"", err.text, words);
}

static void test_refusals(void **state) {
  const char *path = in_folder(state, "a.heic");
  picture p = tiles(16);
  write_heic(path, &p, &(heic_how){.bits = 10, .primaries = 9, .transfer = 16});
  assert_refused(path, NULL, DW_UNSUPPORTED, "high dynamic range");
  write_heic(path, &p, &(heic_how){.bits = 10});
  assert_refused(path, &(dw_photo_limits){.max_megapixels = 0.001, .max_bytes = 1 << 20}, DW_TOO_LARGE,
                 "96 x 64");
  bytes_write(path,
              "\0\0\0\x18"
              "ftypheic\0\0\0\0",
              16);
  assert_refused(path, NULL, DW_CORRUPT, "is damaged");
  free(p.bytes);
}

static void test_memory_limit(void **state) {
  const char *path = in_folder(state, "a.heic");
  const dw_photo_limits small = {.max_megapixels = 1, .max_bytes = 50000};
  picture p = tiles(16);
  dw_photo *photo = NULL;
  dw_error err;
  dw_preview preview;
  dw_arena *arena = dw_arena_new(0);
  write_heic(path, &p, &(heic_how){.bits = 10});
  assert_int_equal(dw_photo_open(path, &small, &photo, &err), DW_OK);
  assert_int_equal(dw_photo_preview(photo, 20, arena, &preview, &err), DW_TOO_LARGE);
  dw_photo_close(photo);
  dw_arena_free(arena);
  free(p.bytes);
}

static dw_status read_middle(const char *path, dw_error *err) {
  dw_photo *photo = NULL;
  dw_patch patch;
  dw_arena *arena = dw_arena_new(0);
  dw_status status = dw_photo_open(path, NULL, &photo, err);
  if (status == DW_OK) status = dw_photo_patches(photo, &(dw_rect){40, 30, 9, 9}, 1, arena, &patch, err);
  dw_photo_close(photo);
  dw_arena_free(arena);
  return status;
}

/* Cut anywhere: refused in words. */
static void test_cut(void **state) {
  const char *path = in_folder(state, "a.heic");
  picture p = tiles(8);
  size_t n;
  write_heic(path, &p, &(heic_how){.bits = 8, .exif_orientation = 1});
  uint8_t *bytes = bytes_read(path, &n);
  for (size_t cut = 20; cut < n; cut += n / 40) {
    dw_error err = {0};
    bytes_write(path, bytes, cut);
    dw_status status = read_middle(path, &err);
    if (status == DW_OK || strlen(err.text) < 20) fail_msg("cut at %zu of %zu: \"%s\"", cut, n, err.text);
  }
  free(bytes);
  free(p.bytes);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_both_depths, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_every_orientation, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_wide_colors, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_bt709_curve, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_what_the_header_says, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_refusals, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_memory_limit, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_cut, folder_make, folder_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
