/* JPEG: every kind, decoded in part, equals libjpeg's whole decoding bit for bit. */
#include "pictures.h"

#include "dropwise/color.h"

#include <jpeglib.h>
#include <stdlib.h>
#include <string.h>

/* Corners, edges, overlaps, single pixels, thin strips. */
static size_t rects_for(const picture *p, dw_rect *out) {
  const dw_rect rects[] = {{0, 0, 5, 5},
                           {p->w - 7, 0, 7, 9},
                           {0, p->h - 6, 11, 6},
                           {p->w - 1, p->h - 1, 1, 1},
                           {p->w / 3, p->h / 3, 40, 30},
                           {p->w / 3 + 5, p->h / 3 + 9, 40, 30},
                           {p->w / 2, p->h - 20, 3, 1},
                           {3, p->h / 2, 1, 17}};
  memcpy(out, rects, sizeof rects);
  return sizeof rects / sizeof *rects;
}

static void check_all(const char *path, const picture *whole, int pixel_kind) {
  dw_rect rects[8], all = {0, 0, whole->w, whole->h};
  size_t n = rects_for(whole, rects);
  assert_patches_equal(path, whole, rects, n, NULL, 0, pixel_kind);
  for (size_t i = 0; i < n; i++) assert_patches_equal(path, whole, &rects[i], 1, NULL, 0, pixel_kind);
  assert_patches_equal(path, whole, &all, 1, NULL, 0, pixel_kind);
}

static void check_kind(void **state, int samples, const jpeg_how *how, const char *kind, bool staged) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(211, 173, samples, 8);
  jpeg_write(path, &p, how);
  picture whole = jpeg_read(path, samples, 1);
  dw_photo *photo = photo_open_ok(path);
  const dw_photo_info *info = dw_photo_info_get(photo);
  assert_string_equal(info->kind, kind);
  assert_string_equal(info->format, "JPEG");
  assert_int_equal(info->bits, 8);
  assert_int_equal(info->staged, staged);
  assert_int_equal(info->orientation, 1);
  assert_string_equal(info->profile, "sRGB (none embedded)");
  assert_int_equal(info->notes.n, 0); /* phones embed none: nothing to warn of */
  dw_photo_close(photo);
  check_all(path, &whole, samples == 1 ? DW_PIXEL_GRAY : DW_PIXEL_RGB);
  free(p.bytes);
  free(whole.bytes);
}

static void test_subsamplings(void **state) {
  static const int sampling[][2] = {{1, 1}, {2, 1}, {2, 2}, {1, 2}, {4, 1}, {4, 2}, {1, 4}, {3, 1}};
  for (size_t i = 0; i < sizeof sampling / sizeof *sampling; i++) {
    int h = sampling[i][0], v = sampling[i][1];
    check_kind(state, 3, &(jpeg_how){.h = h, .v = v}, "YCbCr", false);
    check_kind(state, 3, &(jpeg_how){.h = h, .v = v, .restart_rows = 1}, "YCbCr", false);
    check_kind(state, 3, &(jpeg_how){.h = h, .v = v, .progressive = 1}, "YCbCr", true);
    check_kind(state, 3, &(jpeg_how){.h = h, .v = v, .one_component_scans = 1}, "YCbCr", true);
  }
}

static void test_other_kinds(void **state) {
  check_kind(state, 1, &(jpeg_how){0}, "gray", false);
  check_kind(state, 1, &(jpeg_how){.h = 2, .v = 2}, "gray", false);
  check_kind(state, 1, &(jpeg_how){.progressive = 1}, "gray", true);
  check_kind(state, 3, &(jpeg_how){.space = JCS_RGB}, "RGB", false);
  check_kind(state, 3, &(jpeg_how){.space = JCS_RGB, .progressive = 1}, "RGB", true);
  check_kind(state, 3, &(jpeg_how){.arithmetic = 1, .h = 2, .v = 2}, "YCbCr", false);
}

static void test_all_orientations(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(149, 97, 3, 8);
  for (int o = 1; o <= 8; o++)
    for (int progressive = 0; progressive < 2; progressive++) {
      jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2, .orientation = o, .progressive = progressive});
      picture whole = jpeg_read(path, 3, 1), turned = picture_turned(&whole, o);
      check_all(path, &turned, DW_PIXEL_RGB);
      dw_photo *photo = photo_open_ok(path);
      assert_int_equal(dw_photo_info_get(photo)->orientation, o);
      assert_int_equal(dw_photo_info_get(photo)->stored_width, 149);
      dw_photo_close(photo);
      free(whole.bytes);
      free(turned.bytes);
    }
  free(p.bytes);
}

static void test_tiny_and_odd_sizes(void **state) {
  const char *path = in_folder(state, "a.jpg");
  for (int size = 1; size <= 34; size++) {
    picture p = picture_make(size, 35 - size, 3, 8);
    jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2});
    picture whole = jpeg_read(path, 3, 1);
    for (int x = 0; x < size; x += 5)
      assert_patches_equal(path, &whole, &(dw_rect){x, (35 - size) / 2, 1, 1}, 1, NULL, 0, DW_PIXEL_RGB);
    free(p.bytes);
    free(whole.bytes);
  }
  picture wide = picture_make(65500, 1, 3, 8);
  jpeg_write(path, &wide, &(jpeg_how){.h = 2, .v = 1});
  picture whole = jpeg_read(path, 3, 1);
  assert_patches_equal(path, &whole, &(dw_rect){64000, 0, 700, 1}, 1, NULL, 0, DW_PIXEL_RGB);
  free(wide.bytes);
  free(whole.bytes);
}

/* Every single-pixel column and row start of one picture: no block border is special. */
static void test_every_offset(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(100, 90, 3, 8);
  for (int v = 1; v <= 2; v++) {
    jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = v});
    picture whole = jpeg_read(path, 3, 1);
    for (int i = 0; i < 85; i++)
      assert_patches_equal(path, &whole, (dw_rect[]){{i, i, 3, 2}, {i, (i * 37) % 88, 2, 2}}, 2, NULL, 0,
                           DW_PIXEL_RGB);
    free(whole.bytes);
  }
  free(p.bytes);
}

static void test_rectangles_are_cut_to_the_photo(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(40, 30, 3, 8);
  jpeg_write(path, &p, &(jpeg_how){0});
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  dw_patch patch;
  dw_error err;
  dw_status status = dw_photo_patches(photo, &(dw_rect){-5, 20, 30, 2000000000}, 1, arena, &patch, &err);
  assert_int_equal(status, DW_OK);
  assert_memory_equal(&patch.rect, (&(dw_rect){0, 20, 25, 10}), sizeof patch.rect);
  static const dw_rect outside[] = {{40, 0, 5, 5},
                                    {0, 30, 5, 5},
                                    {-5, 0, 5, 5},
                                    {0, -5, 5, 5},
                                    {0, 0, 0, 5},
                                    {0, 0, 5, -1},
                                    {2147483647, 0, 2147483647, 1},
                                    {-2147483647 - 1, 0, 5, 5}};
  for (size_t i = 0; i < sizeof outside / sizeof *outside; i++) {
    assert_int_equal(dw_photo_patches(photo, &outside[i], 1, arena, &patch, &err), DW_BAD_INPUT);
    assert_non_null(strstr(err.text, "40 x 30"));
  }
  dw_arena_free(arena);
  dw_photo_close(photo);
  free(p.bytes);
}

static void test_clipped_samples_are_marked(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = {48, 16, 3, 8, NULL};
  p.bytes = malloc(48 * 16 * 3);
  assert_non_null(p.bytes);
  for (int i = 0; i < 48 * 16 * 3; i++)
    p.bytes[i] = (uint8_t)(i / 3 % 48 / 16 * 128 > 255 ? 255 : i / 3 % 48 / 16 * 128);
  jpeg_write(path, &p, &(jpeg_how){.quality = 100});
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  dw_patch patch;
  assert_int_equal(dw_photo_patches(photo, &(dw_rect){0, 4, 48, 1}, 1, arena, &patch, NULL), DW_OK);
  assert_int_equal(patch.clip[4], DW_CLIP_LOW);
  assert_int_equal(patch.clip[20], 0);
  assert_int_equal(patch.clip[40], DW_CLIP_HIGH);
  dw_arena_free(arena);
  dw_photo_close(photo);
  free(p.bytes);
}

static void test_date_and_orientation_come_from_exif(void **state) {
  static const struct {
    int orientation, expected;
    const char *taken, *written;
  } cases[] = {{6, 6, "2026:05:01 14:03:22", "2026-05-01 14:03:22"},
               {9, 1, "2026:05:01 14:03:22", "2026-05-01 14:03:22"},
               {0, 1, "not a date at all..", ""},
               {3, 3, "    :  :     :  :  ", ""}};
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(20, 10, 3, 8);
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    jpeg_write(path, &p, &(jpeg_how){.orientation = cases[i].orientation, .taken = cases[i].taken});
    dw_photo *photo = photo_open_ok(path);
    assert_int_equal(dw_photo_info_get(photo)->orientation, cases[i].expected);
    assert_string_equal(dw_photo_info_get(photo)->taken, cases[i].written);
    assert_int_equal(has_note(photo, "orientation is not one of"), cases[i].orientation % 9 == 0);
    dw_photo_close(photo);
  }
  free(p.bytes);
}

/* ---- a base picture with a gain map behind it ------------------------------------------------------------- */

/* One segment with its length.  Returns its end. */
static uint8_t *segment(uint8_t *to, uint8_t marker, const void *bytes, size_t n) {
  const uint8_t head[4] = {0xFF, marker, (uint8_t)((n + 2) >> 8), (uint8_t)(n + 2)};
  memcpy(to, head, sizeof head);
  memcpy(to + sizeof head, bytes, n);
  return to + sizeof head + n;
}

static void put(uint8_t *to, uint32_t value, int bytes) {
  for (int i = 0; i < bytes; i++) to[i] = (uint8_t)(value >> (8 * i));
}

enum { MPF_BYTES = 4 + 8 + 2 + 3 * 12 + 4 + 2 * 16 };

/* The index of a file of two pictures: CIPA DC-007 (MP format), 5.2, from memory. "MPF", a TIFF header, an IFD of three
 * tags (version, how many pictures, where the entries are), and 16 bytes a picture: kind, size, place behind the header. */
static void mpf_make(uint8_t out[MPF_BYTES], uint32_t base_bytes, uint32_t map_bytes, uint32_t map_at) {
  static const uint32_t tags[3][4] = {
      {0xB000, 7, 4, 0x30303130}, {0xB001, 4, 1, 2}, {0xB002, 7, 32, 8 + 2 + 3 * 12 + 4}};
  uint8_t *tiff = out + 4, *entry = tiff + 8 + 2 + 3 * 12 + 4;
  memset(out, 0, MPF_BYTES);
  memcpy(out, "MPF\0II*\0\x08\0\0\0\x03", 13);
  for (size_t i = 0; i < 3; i++) {
    uint8_t *tag = tiff + 10 + 12 * i;
    put(tag, tags[i][0], 2), put(tag + 2, tags[i][1], 2);
    put(tag + 4, tags[i][2], 4), put(tag + 8, tags[i][3], 4);
  }
  put(entry, 0x030000, 4), put(entry + 4, base_bytes, 4); /* the primary picture, at 0 */
  put(entry + 20, map_bytes, 4), put(entry + 24, map_at, 4);
}

/* What phones write: XMP with the gain map's numbers (its namespace from memory), the tag of ISO 21496-1 and the index
 * into the base picture, the map as a JPEG behind it. */
static void gain_map_write(const char *base, const char *map, const char *path) {
  static const char xmp[] =
      "http://ns.adobe.com/xap/1.0/\0<x:xmpmeta xmlns:x=\"adobe:ns:meta/\"><rdf:RDF "
      "xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\"><rdf:Description "
      "xmlns:hdrgm=\"http://ns.adobe.com/hdr-gain-map/1.0/\" hdrgm:Version=\"1.0\" hdrgm:GainMapMax=\"2.5\"/>"
      "</rdf:RDF></x:xmpmeta>";
  static const char iso[] = "urn:iso:std:iso:ts:21496:-1\0\0\0\0"; /* versions 0 and 0 behind the name */
  size_t n, n_map;
  uint8_t *bytes = bytes_read(base, &n), *gain = bytes_read(map, &n_map), index[MPF_BYTES];
  uint8_t *out = malloc(n + n_map + sizeof xmp + sizeof iso + MPF_BYTES + 12), *at = out + 2;
  assert_non_null(out);
  memcpy(out, bytes, 2);
  at = segment(at, 0xE1, xmp, sizeof xmp - 1);
  at = segment(at, 0xE2, iso, sizeof iso);
  const size_t before = (size_t)(at - out) + 4 + MPF_BYTES - 2, header = (size_t)(at - out) + 8;
  mpf_make(index, (uint32_t)(n + before), (uint32_t)n_map, (uint32_t)(n + before - header));
  at = segment(at, 0xE2, index, sizeof index);
  memcpy(at, bytes + 2, n - 2);
  memcpy(at + n - 2, gain, n_map);
  bytes_write(path, out, (size_t)(at - out) + n - 2 + n_map);
  free(out);
  free(gain);
  free(bytes);
}

static void check_gain_map(void **state, const jpeg_how *how) {
  const char *base = in_folder(state, "base.jpg"), *map = in_folder(state, "map.jpg"),
             *path = in_folder(state, "a.jpg");
  picture p = picture_make(211, 173, 3, 8), gain = picture_make(53, 43, 1, 8);
  jpeg_write(base, &p, how);
  jpeg_write(map, &gain, &(jpeg_how){0});
  gain_map_write(base, map, path);
  picture whole = jpeg_read(base, 3, 1);
  check_all(path, &whole, DW_PIXEL_RGB);
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  dw_patch patch;
  assert_int_equal(dw_photo_patches(photo, &(dw_rect){3, 3, 9, 9}, 1, arena, &patch, NULL), DW_OK);
  const dw_photo_info *info = dw_photo_info_get(photo);
  assert_int_equal(info->width, 211);
  assert_int_equal(info->height, 173);
  assert_int_equal(info->notes.n, 0); /* nothing is damaged, nothing left over, no profile lost */
  dw_arena_free(arena);
  dw_photo_close(photo);
  free(p.bytes);
  free(gain.bytes);
  free(whole.bytes);
}

static void test_a_gain_map_is_left_alone(void **state) {
  check_gain_map(state, &(jpeg_how){.h = 2, .v = 2});
  check_gain_map(state, &(jpeg_how){.restart_rows = 1});
  check_gain_map(state, &(jpeg_how){.h = 2, .v = 2, .progressive = 1});
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_subsamplings, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_other_kinds, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_all_orientations, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_tiny_and_odd_sizes, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_every_offset, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_rectangles_are_cut_to_the_photo, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_clipped_samples_are_marked, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_date_and_orientation_come_from_exif, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_a_gain_map_is_left_alone, folder_make, folder_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
