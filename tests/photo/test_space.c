/* Color spaces: embedded profiles and the bare numbers of PNG chunks end in the linear sRGB that their
 * primaries and curves define. */
#include "pictures.h"
#include "profiles.h"

#include "dropwise/color.h"

#include <jpeglib.h>
#include <math.h>
#include <png.h>
#include <stdlib.h>
#include <string.h>

static double det3(const double m[9]) {
  return m[0] * (m[4] * m[8] - m[5] * m[7]) - m[1] * (m[3] * m[8] - m[5] * m[6]) +
         m[2] * (m[3] * m[7] - m[4] * m[6]);
}

/* Solves m x = v by Cramer's rule. */
static void solve3(const double m[9], const double v[3], double x[3]) {
  double d = det3(m);
  for (int k = 0; k < 3; k++) {
    double n[9];
    memcpy(n, m, sizeof n);
    for (int i = 0; i < 3; i++) n[3 * i + k] = v[i];
    x[k] = det3(n) / d;
  }
}

/* Linear RGB to XYZ from chromaticities, so that R = G = B = 1 is the white (SMPTE RP 177-1993). */
static void rgb_to_xyz(const double xy[8], double m[9]) {
  double white[3] = {xy[0] / xy[1], 1, (1 - xy[0] - xy[1]) / xy[1]}, scale[3];
  for (int k = 0; k < 3; k++) {
    const double *c = xy + 2 + 2 * k;
    m[k] = c[0] / c[1];
    m[3 + k] = 1;
    m[6 + k] = (1 - c[0] - c[1]) / c[1];
  }
  solve3(m, white, scale);
  for (int i = 0; i < 9; i++) m[i] *= scale[i % 3];
}

/* Both spaces have the same white, so no adaptation comes in. */
static void p3_to_srgb(const double p3[3], double srgb[3]) {
  double from[9], to[9], xyz[3];
  rgb_to_xyz(p3_xy, from);
  rgb_to_xyz(srgb_xy, to);
  for (int i = 0; i < 3; i++)
    xyz[i] = from[3 * i] * p3[0] + from[3 * i + 1] * p3[1] + from[3 * i + 2] * p3[2];
  solve3(to, xyz, srgb);
}

static dw_patch read_patch(const char *path, dw_rect rect, dw_arena *arena) {
  dw_photo *photo = photo_open_ok(path);
  dw_patch patch;
  dw_error err;
  if (dw_photo_patches(photo, &rect, 1, arena, &patch, &err) != DW_OK) fail_msg("%s", err.text);
  dw_photo_close(photo);
  return patch;
}

static void assert_title(const char *path, const char *title, const char *note) {
  dw_photo *photo = photo_open_ok(path);
  assert_string_equal(dw_photo_info_get(photo)->profile, title);
  if (note)
    assert_true(has_note(photo, note));
  else
    assert_int_equal(dw_photo_info_get(photo)->notes.n, 0);
  dw_photo_close(photo);
}

/* 1e-3: an ICC matrix profile rounds its numbers to 1/65536 and its adapted white to four digits. */
static void assert_p3(const dw_patch *patch, const picture *p, double gamma) {
  for (int i = 0; i < patch->rect.w; i++) {
    double p3[3], expected[3];
    for (int c = 0; c < 3; c++) {
      size_t at = ((size_t)patch->rect.y * (size_t)p->w + (size_t)(patch->rect.x + i)) * 3 + (size_t)c;
      double v =
          p->bits == 16 ? ((const uint16_t *)(const void *)p->bytes)[at] / 65535.0 : p->bytes[at] / 255.0;
      p3[c] = gamma > 0 ? pow(v, gamma) : dw_srgb_decode(v);
    }
    p3_to_srgb(p3, expected);
    for (int c = 0; c < 3; c++) assert_true(fabs((double)patch->rgb[3 * i + c] - expected[c]) < 1e-3);
  }
}

static void test_a_wide_profile(void **state) {
  size_t n;
  void *icc = p3_profile(&n);
  picture p = picture_make(80, 40, 3, 16), p8 = picture_make(80, 40, 3, 8);
  dw_arena *arena = dw_arena_new(0);
  const char *path = in_folder(state, "a.png");
  png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 16, .icc = icc, .icc_bytes = n});
  assert_title(path, "Wide test space", NULL);
  dw_patch patch = read_patch(path, (dw_rect){5, 7, 60, 1}, arena);
  assert_p3(&patch, &p, 0);
  path = in_folder(state, "a.jpg");
  jpeg_write(path, &p8, &(jpeg_how){.icc = icc, .icc_bytes = n, .orientation = 1});
  assert_title(path, "Wide test space", NULL);
  picture whole = jpeg_read(path, 3, 1);
  patch = read_patch(path, (dw_rect){5, 7, 60, 1}, arena);
  assert_p3(&patch, &whole, 0);
  dw_arena_free(arena);
  free(icc);
  free(p.bytes);
  free(p8.bytes);
  free(whole.bytes);
}

/* The strongest green of the wide space lies outside sRGB: its red is negative and must stay so. */
static void test_colors_outside_srgb_are_kept(void **state) {
  size_t n;
  void *icc = p3_profile(&n);
  uint8_t green[3] = {0, 255, 0};
  picture p = {1, 1, 3, 8, green};
  dw_arena *arena = dw_arena_new(0);
  const char *path = in_folder(state, "a.png");
  png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8, .icc = icc, .icc_bytes = n});
  dw_patch patch = read_patch(path, (dw_rect){0, 0, 1, 1}, arena);
  assert_p3(&patch, &p, 0);
  assert_true(patch.rgb[0] < -0.2F);
  assert_int_equal(patch.clip[0], DW_CLIP_HIGH | DW_CLIP_LOW);
  dw_arena_free(arena);
  free(icc);
}

static void test_gray_with_a_profile_for_rgb(void **state) {
  size_t n;
  void *icc = p3_profile(&n);
  picture p = picture_make(80, 40, 1, 8);
  const char *path = in_folder(state, "a.jpg");
  jpeg_write(path, &p, &(jpeg_how){.icc = icc, .icc_bytes = n});
  assert_title(path, "Wide test space", NULL);
  dw_arena *arena = dw_arena_new(0);
  dw_patch patch = read_patch(path, (dw_rect){5, 7, 60, 1}, arena);
  picture whole = jpeg_read(path, 3, 1);
  assert_p3(&patch, &whole, 0);
  dw_arena_free(arena);
  free(icc);
  free(p.bytes);
  free(whole.bytes);
}

static void test_png_numbers(void **state) {
  picture p = picture_make(80, 40, 3, 16);
  const char *path = in_folder(state, "a.png");
  png_how how = {.type = PNG_COLOR_TYPE_RGB, .depth = 16, .srgb = 1};
  png_write(path, &p, &how);
  assert_title(path, "sRGB (named in the file)", NULL);
  how = (png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 16, .gamma = 0.45455};
  png_write(path, &p, &how);
  assert_title(path, "sRGB (named in the file)", NULL);
  how.chroma = srgb_xy;
  png_write(path, &p, &how);
  assert_title(path, "sRGB (named in the file)", NULL);
  how.chroma = p3_xy;
  how.gamma = 1;
  png_write(path, &p, &how);
  assert_title(path, "gamma 1 (from the gAMA and cHRM chunks)", NULL);
  dw_arena *arena = dw_arena_new(0);
  dw_patch patch = read_patch(path, (dw_rect){5, 7, 60, 1}, arena);
  assert_p3(&patch, &p, 1);
  dw_arena_free(arena);
  free(p.bytes);
}

static void test_png_gray_gamma(void **state) {
  picture p = picture_make(80, 40, 1, 16);
  const char *path = in_folder(state, "a.png");
  png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_GRAY, .depth = 16, .gamma = 1 / 1.8});
  assert_title(path, "gamma 1.8 (from the gAMA chunk)", NULL);
  dw_arena *arena = dw_arena_new(0);
  dw_patch patch = read_patch(path, (dw_rect){0, 3, 80, 1}, arena);
  for (int i = 0; i < 80; i++) {
    double v = ((const uint16_t *)(const void *)p.bytes)[3 * 80 + i] / 65535.0;
    for (int c = 0; c < 3; c++) assert_true(fabs((double)patch.rgb[3 * i + c] - pow(v, 1.8)) < 1e-3);
  }
  dw_arena_free(arena);
  free(p.bytes);
}

/* ITU-T H.273: primaries 1, transfer 13 is sRGB; primaries 9, transfer 16 is BT.2100 PQ. */
static void test_png_cicp(void **state) {
  static const uint8_t srgb[4] = {1, 13, 0, 1}, pq[4] = {9, 16, 0, 1};
  picture p = picture_make(8, 8, 3, 8);
  const char *path = in_folder(state, "a.png");
  png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8, .cicp = srgb});
  assert_title(path, "sRGB (named in the file)", NULL);
  png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8, .cicp = pq});
  assert_title(path, "sRGB (none embedded)", "cICP chunk that is not sRGB");
  free(p.bytes);
}

static void check_inks(void **state, const jpeg_how *how, const char *kind, bool inverted) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(80, 40, 4, 8);
  for (int i = 0; i < 80 * 4; i++) p.bytes[i] = inverted ? 255 : 0; /* first rows: no ink */
  memset(p.bytes, inverted ? 255 : 0, 80 * 4 * 16);
  jpeg_write(path, &p, how);
  picture whole = jpeg_read(path, 4, 1);
  dw_photo *photo = photo_open_ok(path);
  assert_string_equal(dw_photo_info_get(photo)->kind, kind);
  assert_string_equal(dw_photo_info_get(photo)->profile, "Made-up inks");
  dw_photo_close(photo);
  dw_rect rects[] = {{3, 20, 40, 9}, {60, 30, 20, 10}};
  assert_patches_equal(path, &whole, rects, 2, how->icc, how->icc_bytes,
                       inverted ? DW_PIXEL_CMYK_INVERTED : DW_PIXEL_CMYK);
  dw_arena *arena = dw_arena_new(0);
  dw_patch patch = read_patch(path, (dw_rect){4, 4, 1, 1}, arena);
  for (int c = 0; c < 3; c++) assert_true(fabsf(patch.rgb[c] - 1) < 0.01F); /* bare paper is white */
  assert_int_equal(patch.clip[0], DW_CLIP_HIGH);
  dw_arena_free(arena);
  free(p.bytes);
  free(whole.bytes);
}

static void test_inks_with_their_profile(void **state) {
  size_t n;
  void *icc = ink_profile(17, &n);
  assert_true(n > 5 * 65536);
  check_inks(state, &(jpeg_how){.icc = icc, .icc_bytes = n, .space = JCS_CMYK, .quality = 100}, "CMYK", true);
  check_inks(state, &(jpeg_how){.icc = icc, .icc_bytes = n, .space = JCS_YCCK, .quality = 100}, "YCCK", true);
  check_inks(state, &(jpeg_how){.icc = icc, .icc_bytes = n, .space = JCS_CMYK, .no_adobe = 1, .quality = 100},
             "CMYK", false);
  free(icc);
}

static void assert_refused(const char *path, const char *words) {
  dw_photo *photo = NULL;
  dw_error err;
  assert_int_equal(dw_photo_open(path, NULL, &photo, &err), DW_UNSUPPORTED);
  if (!strstr(err.text, words)) fail_msg("\"%s\" does not say \"%s\"", err.text, words);
}

static void test_inks_without_a_usable_profile(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(80, 40, 4, 8);
  size_t n;
  void *icc = p3_profile(&n);
  jpeg_write(path, &p, &(jpeg_how){.space = JCS_YCCK});
  assert_refused(path, "a CMYK photo without a color profile");
  jpeg_write(path, &p, &(jpeg_how){.space = JCS_CMYK, .icc = icc, .icc_bytes = n});
  assert_refused(path, "is not usable");
  free(icc);
  free(p.bytes);
}

static void test_broken_profiles(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(80, 40, 3, 8);
  size_t n, icc_bytes;
  uint8_t *icc = p3_profile(&icc_bytes);
  memset(icc + 36, 0, 4); /* the "acsp" signature */
  jpeg_write(path, &p, &(jpeg_how){.icc = icc, .icc_bytes = icc_bytes});
  assert_title(path, "sRGB (embedded profile not usable)", "The embedded color profile is not usable");
  free(icc);
  icc = ink_profile(17, &icc_bytes);
  jpeg_write(path, &p, &(jpeg_how){.icc = icc, .icc_bytes = icc_bytes});
  assert_title(path, "sRGB (embedded profile not usable)", "for CMYK");
  uint8_t *bytes = bytes_read(path, &n);
  uint8_t *mark = memmem(bytes, n, "ICC_PROFILE", 12);
  assert_non_null(mark);
  mark[12] = 77; /* the first part's number */
  bytes_write(path, bytes, n);
  assert_title(path, "sRGB (none embedded)", "The embedded color profile is incomplete");
  free(bytes);
  free(icc);
  free(p.bytes);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_a_wide_profile, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_colors_outside_srgb_are_kept, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_gray_with_a_profile_for_rgb, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_png_numbers, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_png_gray_gamma, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_png_cicp, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_inks_with_their_profile, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_inks_without_a_usable_profile, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_broken_profiles, folder_make, folder_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
