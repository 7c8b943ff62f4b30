/* Files that claim or demand too much: refused by their header, before memory is taken for them. Every
 * allocation of this process, the libraries' included, passes through the counter below. */
#include "pictures.h"

#include "base/sanitized.h"

#include <errno.h>
#include <jpeglib.h>
#include <png.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#ifdef DW__SANITIZER /* it has an allocator of its own */
#define COUNTED 0
#else
#define COUNTED 1
#endif

enum { MIB = 1 << 20 };
static size_t taken, largest; /* since counting began */
static long until_failure = -1;

#if COUNTED
/* glibc's own names for its allocator, so that a program can wrap it. */
void *__libc_malloc(size_t n);
void *__libc_calloc(size_t n, size_t size);
void *__libc_realloc(void *old, size_t n);

static bool count(size_t n) {
  taken += n;
  if (n > largest) largest = n;
  if (until_failure < 0) return true;
  errno = ENOMEM;
  return until_failure-- > 0;
}

__attribute__((visibility("default"))) void *malloc(size_t n) {
  return count(n) ? __libc_malloc(n) : NULL;
}

__attribute__((visibility("default"))) void *calloc(size_t n, size_t size) {
  return count(n * size) ? __libc_calloc(n, size) : NULL;
}

__attribute__((visibility("default"))) void *realloc(void *old, size_t n) {
  return count(n) ? __libc_realloc(old, n) : NULL;
}
#endif

static void count_from_here(void) {
  taken = largest = 0;
}

static dw_photo *open_here_ok(const char *path) {
  dw_photo *photo = NULL;
  dw_error err;
  if (photo_open_here(path, NULL, &photo, &err) != DW_OK) fail_msg("%s", err.text);
  return photo;
}

static void assert_taken_below(size_t limit) {
  if (taken > limit) fail_msg("%zu KiB were allocated, the largest of %zu KiB", taken >> 10, largest >> 10);
}

static void check_refused(const char *path, const dw_photo_limits *limits, const char *words, size_t bytes) {
  dw_photo *photo = NULL;
  dw_error err;
  count_from_here();
  assert_int_equal(photo_open_here(path, limits, &photo, &err), DW_TOO_LARGE);
  assert_taken_below(bytes);
  if (!strstr(err.text, words)) fail_msg("\"%s\" does not say \"%s\"", err.text, words);
}

/* Opens well, but decoding is refused, and little was allocated till then. */
static void check_decoding_refused(const char *path, const dw_photo_limits *limits, dw_rect rect,
                                   const char *words, size_t bytes) {
  dw_photo *photo = NULL;
  dw_error err;
  dw_patch patch;
  count_from_here();
  if (photo_open_here(path, limits, &photo, &err) != DW_OK) fail_msg("%s", err.text);
  dw_arena *arena = dw_arena_new(0);
  assert_int_equal(dw_photo_patches(photo, &rect, 1, arena, &patch, &err), DW_TOO_LARGE);
  if (!strstr(err.text, words)) fail_msg("\"%s\" does not say \"%s\"", err.text, words);
  assert_taken_below(bytes);
  dw_arena_free(arena);
  dw_photo_close(photo);
}

/* Writes other sizes into the frame header (ITU-T T.81, B.2.2: marker, length, precision, height, width). */
static void claim_jpeg_size(const char *path, int w, int h) {
  size_t n;
  uint8_t *bytes = bytes_read(path, &n);
  for (size_t i = 2; i + 9 < n; i++)
    if (bytes[i] == 0xFF && (bytes[i + 1] == 0xC0 || bytes[i + 1] == 0xC2)) {
      bytes[i + 5] = (uint8_t)(h >> 8);
      bytes[i + 6] = (uint8_t)h;
      bytes[i + 7] = (uint8_t)(w >> 8);
      bytes[i + 8] = (uint8_t)w;
      break;
    }
  bytes_write(path, bytes, n);
  free(bytes);
}

static void make_jpeg(const char *path, const jpeg_how *how) {
  picture p = picture_make(64, 48, 3, 8);
  jpeg_write(path, &p, how);
  free(p.bytes);
}

static void test_claimed_jpeg_sizes(void **state) {
  const char *path = in_folder(state, "a.jpg");
  make_jpeg(path, &(jpeg_how){.h = 2, .v = 2});
  check_refused(path, &(dw_photo_limits){.max_megapixels = 0.003, .max_bytes = MIB}, "64 x 48", MIB);
  claim_jpeg_size(path, 60000, 60000);
  check_refused(path, NULL, "60000 x 60000 pixels (3600 megapixels), over the limit of 200", MIB);
  make_jpeg(path, &(jpeg_how){.h = 2, .v = 2, .progressive = 1});
  claim_jpeg_size(path, 60000, 60000);
  check_refused(path, NULL, "60000 x 60000", MIB);
  claim_jpeg_size(path, 16000, 12000); /* 192 megapixels x 1.5 components x 2 bytes = 549 MiB */
  check_decoding_refused(path, NULL, (dw_rect){0, 0, 9, 9}, "not progressive", 2 * MIB);
}

/* An EXIF chunk that says it is 1.8 GB long, of which only a few bytes are there. */
static void test_claimed_png_exif(void **state) {
  static const uint8_t head[] = {0x6F, 0x72, 0x79, 0x2D, 'e', 'X', 'I', 'f', 'I', 'I', 42, 0, 8, 0, 0, 0};
  size_t n;
  const char *path = in_folder(state, "a.png");
  picture p = picture_make(9, 9, 3, 8);
  png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8});
  free(p.bytes);
  uint8_t *bytes = bytes_read(path, &n);
  memcpy(bytes + 33, head, sizeof head); /* behind the signature and IHDR */
  bytes_write(path, bytes, n);
  free(bytes);
  dw_photo *photo = NULL;
  count_from_here();
  assert_int_equal(photo_open_here(path, NULL, &photo, NULL), DW_CORRUPT);
  assert_taken_below(MIB);
}

static void write_png_header(const char *path, unsigned w, unsigned h, int type, int interlaced) {
  FILE *file = fopen(path, "wb");
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
  png_infop info = png_create_info_struct(png);
  if (setjmp(png_jmpbuf(png))) fail_msg("libpng cannot write %s", path);
  png_init_io(png, file);
  png_set_user_limits(png, PNG_UINT_31_MAX, PNG_UINT_31_MAX);
  png_set_IHDR(png, info, w, h, 8, type, interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE, 0, 0);
  png_write_info(png, info);
  png_write_chunk(png, (png_const_bytep) "IDAT", (png_const_bytep) "\x78\x9C", 2);
  png_destroy_write_struct(&png, &info);
  fclose(file);
}

static void test_claimed_png_sizes(void **state) {
  const char *path = in_folder(state, "a.png");
  write_png_header(path, 60000, 60000, PNG_COLOR_TYPE_RGB, 0);
  check_refused(path, NULL, "60000 x 60000 pixels (3600 megapixels), over the limit of 200", MIB);
  write_png_header(path, 2000000000, 1, PNG_COLOR_TYPE_RGB, 0);
  check_refused(path, NULL, "2000000000 x 1 ", MIB);
  write_png_header(path, 1, 2000000000, PNG_COLOR_TYPE_GRAY, 1);
  check_refused(path, NULL, "1 x 2000000000 ", MIB);
  write_png_header(path, 14000, 14000, PNG_COLOR_TYPE_RGB, 1); /* 561 MiB for all rows */
  check_decoding_refused(path, NULL, (dw_rect){0, 0, 2, 14000}, "being interlaced", 2 * MIB);
}

static void test_marked_areas_are_limited(void **state) {
  const char *path = in_folder(state, "a.jpg");
  make_jpeg(path, &(jpeg_how){0});
  claim_jpeg_size(path, 8000, 8000); /* 64 million x 13 bytes = 793 MiB */
  check_decoding_refused(path, NULL, (dw_rect){0, 0, 8000, 8000}, "mark smaller ones", 2 * MIB);
}

static void test_scan_bomb(void **state) {
  const char *path = in_folder(state, "a.jpg");
  make_jpeg(path, &(jpeg_how){.scans = JPEG_TEST_SCANS_MAX});
  check_decoding_refused(path, NULL, (dw_rect){0, 0, 9, 9}, "more than 60 scans", 4 * MIB);
  make_jpeg(path, &(jpeg_how){.scans = 58}); /* unusual but allowed: it must still decode */
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  dw_patch patch;
  assert_int_equal(dw_photo_patches(photo, &(dw_rect){0, 0, 9, 9}, 1, arena, &patch, NULL), DW_OK);
  dw_arena_free(arena);
  dw_photo_close(photo);
}

/* The file with n more markers of 65,000 bytes behind its first two bytes. */
static void stuff_markers(const char *path, int marker, const char *start, int n) {
  size_t size;
  uint8_t *bytes = bytes_read(path, &size), *block = calloc(1, 65002);
  FILE *file = fopen(path, "wb");
  assert_non_null(block);
  memcpy(block, (uint8_t[]){0xFF, (uint8_t)marker, 65000 >> 8, 65000 & 255}, 4);
  memcpy(block + 4, start, strlen(start));
  fwrite(bytes, 1, 2, file);
  for (int i = 0; i < n; i++) fwrite(block, 1, 65002, file);
  fwrite(bytes + 2, 1, size - 2, file);
  fclose(file);
  free(bytes);
  free(block);
}

static void check_opens_within(const char *path, size_t bytes) {
  count_from_here();
  dw_photo *photo = open_here_ok(path);
  assert_taken_below(bytes);
  dw_photo_close(photo);
}

static void test_header_bombs(void **state) {
  const char *path = in_folder(state, "a.jpg");
  make_jpeg(path, &(jpeg_how){.orientation = 6});
  stuff_markers(path, 0xE1, "http://ns.adobe.com/xmp/extension/", 300); /* depth maps do this: 19 MiB */
  check_opens_within(path, MIB);
  make_jpeg(path, &(jpeg_how){.orientation = 6});
  stuff_markers(path, 0xE1, "Exif", 300);
  check_opens_within(path, MIB);
  make_jpeg(path, &(jpeg_how){0});
  stuff_markers(path, 0xFE, "a comment", 300);
  check_opens_within(path, MIB);
  make_jpeg(path, &(jpeg_how){0});
  stuff_markers(path, 0xE2, "ICC_PROFILE", 300);
  check_refused(path, NULL, "more than 8 MiB before the photo itself", 10 * MIB);
}

/* A chunk of `expanded` zero bytes, deflated. */
static void write_png_bomb(const char *path, const char *name, const char *start, size_t start_bytes,
                           size_t expanded) {
  uLong n = compressBound(expanded);
  uint8_t *zeros = calloc(1, expanded), *chunk = malloc(start_bytes + n);
  FILE *file = fopen(path, "wb");
  assert_true(zeros && chunk && file);
  memcpy(chunk, start, start_bytes);
  memcpy(zeros, "\0\xA0\0\0", 4); /* an ICC profile that says it is 10 MiB long */
  assert_int_equal(compress2(chunk + start_bytes, &n, zeros, expanded, 9), Z_OK);
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, NULL, NULL, NULL);
  png_infop info = png_create_info_struct(png);
  if (setjmp(png_jmpbuf(png))) fail_msg("libpng cannot write %s", path);
  png_init_io(png, file);
  png_set_IHDR(png, info, 1, 1, 8, PNG_COLOR_TYPE_GRAY, PNG_INTERLACE_NONE, 0, 0);
  png_write_info(png, info);
  png_write_chunk(png, (png_const_bytep)name, chunk, start_bytes + n);
  png_write_row(png, (png_const_bytep) "\x80");
  png_write_end(png, NULL);
  png_destroy_write_struct(&png, &info);
  fclose(file);
  free(zeros);
  free(chunk);
}

static void test_png_chunk_bombs(void **state) {
  const char *path = in_folder(state, "a.png");
  write_png_bomb(path, "zTXt", "Comment\0", 9, 24 * MIB);
  check_opens_within(path, MIB);
  write_png_bomb(path, "iCCP", "made\0", 6, 24 * MIB);
  check_opens_within(path, MIB);
  dw_photo *photo = photo_open_ok(path);
  assert_string_equal(dw_photo_info_get(photo)->profile, "sRGB (none embedded)");
  assert_true(has_note(photo, "The PNG decoder warned"));
  dw_photo_close(photo);
}

/* A plain photo is decoded in a few MiB: memory follows the marks, not the photo. */
static void test_memory_follows_the_marks(void **state) {
  picture p = picture_make(2400, 1800, 3, 8);
  const char *jpeg = in_folder(state, "a.jpg"), *png = in_folder(state, "a.png");
  jpeg_write(jpeg, &p, &(jpeg_how){.h = 2, .v = 2});
  png_write(png, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8});
  free(p.bytes);
  for (int i = 0; i < 2; i++) {
    count_from_here();
    dw_photo *photo = open_here_ok(i ? png : jpeg);
    dw_arena *arena = dw_arena_new(0);
    dw_patch patch;
    assert_int_equal(dw_photo_patches(photo, &(dw_rect){1000, 1400, 400, 300}, 1, arena, &patch, NULL),
                     DW_OK);
    assert_taken_below(5 * MIB); /* of which 1.5 are the pixels kept */
    dw_arena_free(arena);
    dw_photo_close(photo);
  }
}

static dw_status whole_job(const char *path, dw_error *err) {
  dw_photo *photo = NULL;
  dw_patch patch;
  dw_preview preview;
  uint8_t *bytes = NULL;
  size_t n;
  dw_arena *arena = dw_arena_new(0);
  dw_status status = arena ? photo_open_here(path, NULL, &photo, err) : dw_fail_memory(err, "an arena");
  if (status == DW_OK) status = dw_photo_patches(photo, &(dw_rect){9, 9, 20, 20}, 1, arena, &patch, err);
  if (status == DW_OK) status = dw_photo_preview(photo, 20, arena, &preview, err);
  if (status == DW_OK) status = dw_preview_jpeg(&preview, 80, &bytes, &n, err);
  free(bytes);
  dw_arena_free(arena);
  dw_photo_close(photo);
  return status;
}

/* The 1st, 2nd, 3rd ... allocation fails until the job succeeds: it ends in words, every time. */
static void check_failing_memory(const char *path) {
  for (long i = 0;; i++) {
    dw_error err = {0};
    until_failure = i;
    dw_status status = whole_job(path, &err);
    bool met = until_failure < 0;
    until_failure = -1;
    if (!met) {
      assert_int_equal(status, DW_OK);
      assert_true(!COUNTED || i > 20);
      return;
    }
    if (status != DW_OK && status != DW_NO_MEMORY) fail_msg("allocation %ld: %s", i, err.text);
  }
}

static void test_failing_memory(void **state) {
  picture p = picture_make(64, 48, 3, 8);
  const char *path = in_folder(state, "a");
  for (int staged = 0; staged < 2; staged++) {
    jpeg_write(path, &p, &(jpeg_how){.h = 2, .v = 2, .progressive = staged});
    check_failing_memory(path);
    png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8, .interlaced = staged});
    check_failing_memory(path);
  }
  free(p.bytes);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_claimed_jpeg_sizes, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_claimed_png_exif, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_claimed_png_sizes, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_marked_areas_are_limited, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_scan_bomb, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_header_bombs, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_png_chunk_bombs, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_memory_follows_the_marks, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_failing_memory, folder_make, folder_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
