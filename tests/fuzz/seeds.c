/* Small photos of every kind, as seeds. */
#include "fuzz.h"

#include "pictures.h"
#include "profiles.h"

#include <jpeglib.h>
#include <png.h>
#include <stdlib.h>

typedef struct maker {
  void **folder;
  void (*take)(void *ctx, const uint8_t *bytes, size_t n);
  void *ctx;
} maker;

static void take_file(const maker *m, const char *path, uint8_t *pixels) {
  size_t n;
  uint8_t *bytes = bytes_read(path, &n);
  m->take(m->ctx, bytes, n);
  free(bytes);
  free(pixels);
}

static void take_jpeg(const maker *m, int samples, const jpeg_how *how) {
  const char *path = in_folder(m->folder, "seed");
  picture p = picture_make(29, 21, samples, 8);
  jpeg_write(path, &p, how);
  take_file(m, path, p.bytes);
}

static void take_png(const maker *m, int samples, const png_how *how) {
  const char *path = in_folder(m->folder, "seed");
  picture p = picture_make(29, 21, samples, how->depth == 16 ? 16 : 8);
  for (int i = 0; how->depth < 8 && i < 29 * 21 * samples; i++)
    p.bytes[i] = (uint8_t)(p.bytes[i] >> (8 - how->depth));
  png_write(path, &p, how);
  take_file(m, path, p.bytes);
}

static void make_jpegs(const maker *m) {
  size_t wide_bytes, ink_bytes;
  void *wide = p3_profile(&wide_bytes), *ink = ink_profile(3, &ink_bytes);
  take_jpeg(m, 3, &(jpeg_how){.h = 2, .v = 2, .orientation = 6, .taken = "2026:05:01 14:03:22"});
  take_jpeg(m, 3, &(jpeg_how){.h = 2, .v = 1, .progressive = 1});
  take_jpeg(m, 3, &(jpeg_how){.h = 1, .v = 2, .one_component_scans = 1});
  take_jpeg(m, 3, &(jpeg_how){.h = 2, .v = 2, .restart_rows = 1, .icc = wide, .icc_bytes = wide_bytes});
  take_jpeg(m, 3, &(jpeg_how){.space = JCS_RGB});
  take_jpeg(m, 3, &(jpeg_how){.arithmetic = 1, .progressive = 1});
  take_jpeg(m, 3, &(jpeg_how){.scans = 20});
  take_jpeg(m, 1, &(jpeg_how){.orientation = 3});
  take_jpeg(m, 4, &(jpeg_how){.space = JCS_YCCK, .icc = ink, .icc_bytes = ink_bytes});
  free(wide);
  free(ink);
}

static void make_pngs(const maker *m) {
  static const uint8_t cicp[4] = {1, 13, 0, 1};
  size_t wide_bytes;
  void *wide = p3_profile(&wide_bytes);
  take_png(m, 1, &(png_how){.type = PNG_COLOR_TYPE_GRAY, .depth = 1});
  take_png(m, 1, &(png_how){.type = PNG_COLOR_TYPE_GRAY, .depth = 16, .gamma = 0.5});
  take_png(m, 1, &(png_how){.type = PNG_COLOR_TYPE_PALETTE, .depth = 4, .transparent = 1, .interlaced = 1});
  take_png(m, 3,
           &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8, .orientation = 8, .chroma = p3_xy, .gamma = 1});
  take_png(m, 3, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 16, .interlaced = 1, .srgb = 1});
  take_png(m, 4,
           &(png_how){.type = PNG_COLOR_TYPE_RGB_ALPHA, .depth = 8, .icc = wide, .icc_bytes = wide_bytes});
  take_png(m, 2, &(png_how){.type = PNG_COLOR_TYPE_GRAY_ALPHA, .depth = 8, .cicp = cicp, .transparent = 0});
  free(wide);
}

void seeds_make(void (*take)(void *ctx, const uint8_t *bytes, size_t n), void *ctx) {
  void *folder = NULL;
  assert_int_equal(folder_make(&folder), 0);
  maker m = {&folder, take, ctx};
  make_jpegs(&m);
  make_pngs(&m);
  assert_int_equal(folder_remove(&folder), 0);
}
