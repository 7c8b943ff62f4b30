/* Broken files: a clear sentence, or whole pixels, never a wrong color without a word. */
#include "pictures.h"

#include "dropwise/color.h"
#include "photo/decode.h"

#include <fcntl.h>
#include <png.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { CUTS = 50 };

static int open_files(void) {
  int n = 0;
  for (int fd = 0; fd < 64; fd++) n += fcntl(fd, F_GETFD) != -1;
  return n;
}

static void check_open_fails(const char *path, dw_status status, const char *words) {
  dw_photo *photo = NULL;
  dw_error err;
  int before = open_files();
  assert_int_equal(dw_photo_open(path, NULL, &photo, &err), status);
  assert_int_equal(dw_photo_open(path, NULL, &photo, NULL), status);
  assert_null(photo);
  assert_int_equal(open_files(), before);
  if (!strstr(err.text, words)) fail_msg("\"%s\" does not say \"%s\"", err.text, words);
  assert_non_null(strstr(err.text, path));
  assert_int_equal(err.text[strlen(err.text) - 1], '.');
}

static void test_files_that_are_no_photos(void **state) {
  static const struct {
    const char *bytes;
    size_t n;
    const char *words;
  } kinds[] = {{"\0\0\0\x18"
                "ftypavif\0\0\0\0",
                16, "AVIF"},
               {"RIFF\1\2\3\4WEBPVP8 ", 16, "WebP"},
               {"GIF89a\1\0\1\0\0\0\0\0\0\0", 16, "GIF"},
               {"II*\0\x08\0\0\0\1\0\0\0\0\0\0\0", 16, "TIFF"},
               {"MM\0*\0\0\0\x08\0\1\0\0\0\0\0\0", 16, "TIFF"},
               {"II*\0\x10\0\0\0CR\2\0\0\0\0\0", 16, "camera RAW"},
               {"FUJIFILMCCD-RAW ", 16, "camera RAW"},
               {"BM\1\2\3\4\0\0\0\0\0\0\0\0\0\0", 16, "BMP"},
               {"%PDF-1.7\n........", 16, "PDF"},
               {"\0\0\0\x14"
                "ftypqt  \0\0\0\0",
                16, "video"},
               {"hello, I am text", 16, "something else"},
               {"\x89PNG\r\n\x1A", 7, "something else"},
               {"\xFF", 1, "something else"}};
  const char *path = in_folder(state, "a");
  for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
    bytes_write(path, kinds[i].bytes, kinds[i].n);
    check_open_fails(path, DW_UNSUPPORTED, kinds[i].words);
  }
}

static void test_files_that_are_not_there(void **state) {
  check_open_fails(in_folder(state, "none.jpg"), DW_NOT_FOUND, "cannot be opened");
  check_open_fails(*state, DW_BAD_INPUT, "not a file");
  const char *path = in_folder(state, "pipe");
  assert_int_equal(mkfifo(path, 0600), 0);
  check_open_fails(path, DW_BAD_INPUT, "not a file");
  path = in_folder(state, "empty.jpg");
  bytes_write(path, "", 0);
  check_open_fails(path, DW_CORRUPT, "is empty");
  path = in_folder(state, "bare.jpg");
  bytes_write(path, "\xFF\xD8\xFF", 3);
  check_open_fails(path, DW_CORRUPT, "cut off");
  path = in_folder(state, "bare.png");
  bytes_write(path, "\x89PNG\r\n\x1A\n", 8);
  check_open_fails(path, DW_CORRUPT, "cut off");
}

/* Reads three bands of the photo; each is refused in words or exactly right. Returns how many were right. */
static int read_bands(const char *path, const picture *whole, int kind) {
  static const int tops[3] = {2, 60, 118};
  dw_photo *photo = NULL;
  dw_error err;
  int right = 0, before = open_files();
  dw_status status = dw_photo_open(path, NULL, &photo, &err);
  if (status != DW_OK) {
    assert_int_equal(status, DW_CORRUPT);
    assert_non_null(strstr(err.text, path));
    assert_int_equal(open_files(), before);
    return 0;
  }
  for (int i = 0; i < 3; i++) {
    dw_arena *arena = dw_arena_new(0);
    dw_patch patch;
    dw_rect rect = {5, tops[i], 60, 8};
    dw_profile *profile = NULL;
    status = dw_photo_patches(photo, &rect, 1, arena, &patch, &err);
    if (status == DW_OK) {
      float row[3 * 60];
      assert_int_equal(dw_profile_open(NULL, 0, (dw_pixel_kind)kind, 8, &profile, NULL), DW_OK);
      for (int y = 0; y < 8; y++) {
        size_t at = ((size_t)(rect.y + y) * (size_t)whole->w + 5) * picture_pixel_bytes(whole);
        dw_profile_linear(profile, whole->bytes + at, 60, row);
        assert_memory_equal(row, patch.rgb + y * 180, sizeof row);
      }
      dw_profile_close(profile);
      right++;
    } else {
      assert_int_equal(status, DW_CORRUPT);
      assert_non_null(strstr(err.text, path));
    }
    dw_arena_free(arena);
  }
  dw_preview preview;
  dw_arena *arena = dw_arena_new(0);
  status = dw_photo_preview(photo, 64, arena, &preview, &err);
  assert_true(status == DW_OK || status == DW_CORRUPT);
  dw_arena_free(arena);
  dw_photo_close(photo);
  assert_int_equal(open_files(), before);
  return right;
}

/* Cuts at CUTS places from the begin to one byte before the end; more bands survive the longer the file. */
static void check_cuts(void **state, const char *name, const picture *whole, int kind, int least_whole) {
  size_t n;
  const char *path = in_folder(state, name);
  uint8_t *bytes = bytes_read(path, &n);
  const char *cut = in_folder(state, "cut");
  int bands = 0, last = 0;
  assert_int_equal(read_bands(path, whole, kind), 3);
  for (size_t i = 1; i <= CUTS; i++) {
    size_t at = i * (n - 1) / CUTS;
    bytes_write(cut, bytes, at);
    int right = read_bands(cut, whole, kind);
    assert_true(right >= last);
    last = right;
    bands += right;
  }
  if (bands < least_whole) fail_msg("%s: only %d bands of cut files could be read", name, bands);
  free(bytes);
}

static void test_cut_jpeg(void **state) {
  picture p = picture_make(120, 130, 3, 8);
  const char *path = in_folder(state, "plain.jpg");
  jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2});
  picture whole = jpeg_read(path, 3, 1);
  check_cuts(state, "plain.jpg", &whole, DW_PIXEL_RGB, 50); /* by thirds about (45 + 25 + 2) */
  jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2, .restart_rows = 1});
  check_cuts(state, "plain.jpg", &whole, DW_PIXEL_RGB, 50);
  path = in_folder(state, "staged.jpg");
  jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2, .progressive = 1});
  free(whole.bytes);
  whole = jpeg_read(path, 3, 1);
  check_cuts(state, "staged.jpg", &whole, DW_PIXEL_RGB, 0); /* every scan adds to every pixel */
  free(p.bytes);
  free(whole.bytes);
}

static void test_cut_png(void **state) {
  picture p = picture_make(120, 130, 3, 8);
  for (int interlaced = 0; interlaced < 2; interlaced++) {
    png_write(in_folder(state, "a.png"), &p,
              &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8, .interlaced = interlaced});
    check_cuts(state, "a.png", &p, DW_PIXEL_RGB, interlaced ? 0 : 20);
  }
  free(p.bytes);
}

/* A flipped bit in the picture's data: PNG has check sums, so any band read is exactly right. */
static void test_flipped_png(void **state) {
  picture p = picture_make(120, 130, 3, 8);
  size_t n;
  const char *path = in_folder(state, "a.png");
  png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8});
  uint8_t *bytes = bytes_read(path, &n);
  for (size_t i = 1; i < CUTS; i++) {
    size_t at = 60 + i * (n - 80) / CUTS;
    bytes[at] ^= 0x10;
    bytes_write(path, bytes, n);
    assert_true(read_bands(path, &p, DW_PIXEL_RGB) < 3);
    bytes[at] ^= 0x10;
  }
  free(bytes);
  free(p.bytes);
}

/* JPEG has no check sums, but a broken code is met sooner or later: what lies above it is right, the marked
 * area behind it is refused. */
static void test_broken_jpeg_code(void **state) {
  picture p = picture_make(120, 130, 3, 8);
  size_t n;
  const char *path = in_folder(state, "a.jpg");
  jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2});
  picture whole = jpeg_read(path, 3, 1);
  uint8_t *bytes = bytes_read(path, &n);
  memset(bytes + n * 7 / 10, 0xFE, 40); /* a run of ones is in no Huffman table */
  bytes_write(path, bytes, n);
  assert_in_range(read_bands(path, &whole, DW_PIXEL_RGB), 1, 2);
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  dw_patch patch;
  dw_error err;
  assert_int_equal(dw_photo_patches(photo, &(dw_rect){0, 115, 9, 9}, 1, arena, &patch, &err), DW_CORRUPT);
  assert_non_null(strstr(err.text, "is damaged, and a marked area lies in the lost part"));
  assert_int_equal(dw_photo_patches(photo, &(dw_rect){0, 5, 9, 9}, 1, arena, &patch, &err), DW_OK);
  dw_arena_free(arena);
  dw_photo_close(photo);
  free(bytes);
  free(p.bytes);
  free(whole.bytes);
}

static void take_out(const char *from, const char *to, double at, size_t n_out) {
  size_t n;
  uint8_t *bytes = bytes_read(from, &n);
  size_t gap = (size_t)(at * (double)n);
  memmove(bytes + gap, bytes + gap + n_out, n - gap - n_out);
  bytes_write(to, bytes, n - n_out);
  free(bytes);
}

static void check_top(const char *path, const char *note, bool expected) {
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  dw_patch patch;
  for (int i = 0; i < 2; i++)
    assert_int_equal(dw_photo_patches(photo, &(dw_rect){0, 40, 90, 9}, 1, arena, &patch, NULL), DW_OK);
  if (has_note(photo, note) != expected)
    fail_msg("%s: \"%s\" is %s", path, note, expected ? "missing" : "said");
  dw_arena_free(arena);
  dw_photo_close(photo);
}

/* Bytes lost above an area leave codes that make sense again, with the wrong color: only the end of the data
 * tells. Sound files, those without an end marker and those that a camera filled up are not called damaged. */
static void test_damage_that_only_the_end_tells(void **state) {
  static const char damaged[] = "The photo's file is damaged (", may[] = "): colors below may be wrong.";
  picture p = picture_make(120, 130, 3, 8);
  const char *path = in_folder(state, "a.jpg"), *other = in_folder(state, "b.jpg");
  size_t n;
  jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2});
  check_top(path, damaged, false);
  take_out(path, other, 0.1, 100);
  check_top(other, damaged, true);
  check_top(other, may, true);
  uint8_t *bytes = bytes_read(path, &n), *more = calloc(1, n + 100);
  assert_non_null(more);
  memcpy(more, bytes, n - 2);
  bytes_write(other, more, n - 2);
  check_top(other, damaged, false);
  check_top(other, "The file ends early; the areas read are whole.", true);
  memcpy(more + n + 98, "\xFF\xD9", 2); /* 100 zeros of filling */
  bytes_write(other, more, n + 100);
  check_top(other, damaged, false);
  for (size_t i = 0; i < 100; i++) more[n - 2 + i] = (uint8_t)(i + 1);
  bytes_write(other, more, n + 100);
  check_top(other, damaged, true);
  free(more);
  free(bytes);
  free(p.bytes);
}

static void test_notes_on_cut_files(void **state) {
  picture p = picture_make(120, 130, 3, 8);
  dw_patch patch;
  dw_preview preview;
  size_t n;
  const char *path = in_folder(state, "a.jpg");
  jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2});
  uint8_t *bytes = bytes_read(path, &n);
  bytes_write(path, bytes, n * 2 / 3);
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  assert_int_equal(dw_photo_patches(photo, &(dw_rect){0, 5, 9, 9}, 1, arena, &patch, NULL), DW_OK);
  assert_true(has_note(photo, "The file ends early; the areas read are whole."));
  assert_int_equal(dw_photo_preview(photo, 130, arena, &preview, NULL), DW_OK);
  assert_true(has_note(photo, "The file ends early; part of the photo is missing."));
  assert_int_equal(preview.rgb[3 * (129 * 120 + 60)], 128);
  dw_photo_close(photo);
  free(bytes);
  path = in_folder(state, "a.png");
  png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8});
  bytes = bytes_read(path, &n);
  bytes_write(path, bytes, n * 2 / 3);
  photo = photo_open_ok(path);
  assert_true(has_note(photo, "does not end as a PNG does"));
  assert_int_equal(dw_photo_preview(photo, 130, arena, &preview, NULL), DW_OK);
  assert_true(has_note(photo, "The file ends early; part of the photo is missing."));
  assert_int_equal(preview.rgb[3 * (129 * 120 + 60)], 128);
  dw_photo_close(photo);
  dw_arena_free(arena);
  free(bytes);
  free(p.bytes);
}

static void test_a_decoder_that_crashes(void **state) {
  picture p = picture_make(61, 43, 3, 8);
  const char *path = in_folder(state, "a.jpg");
  dw_patch patch;
  dw_error err = {0};
  jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2});
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  assert_int_equal(kill(photo->decoder.pid, SIGABRT), 0);
  assert_int_equal(dw_photo_patches(photo, &(dw_rect){5, 5, 9, 9}, 1, arena, &patch, &err), DW_CORRUPT);
  assert_non_null(strstr(err.text, "a.jpg crashed (Aborted): save it anew"));
  assert_int_equal(dw_photo_patches(photo, &(dw_rect){5, 5, 9, 9}, 1, arena, &patch, &err), DW_CORRUPT);
  assert_non_null(strstr(err.text, "has ended: open the photo again."));
  dw_arena_free(arena);
  dw_photo_close(photo);
  free(p.bytes);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_files_that_are_no_photos, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_files_that_are_not_there, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_cut_jpeg, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_cut_png, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_flipped_png, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_broken_jpeg_code, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_damage_that_only_the_end_tells, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_notes_on_cut_files, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_a_decoder_that_crashes, folder_make, folder_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
