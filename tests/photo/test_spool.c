/* Spools: the same pixels as the photo's own, for every orientation and depth, and nothing believed unseen.
 */
#include "pictures.h"

#include "dropwise/color.h"

#include <fcntl.h>
#include <math.h>
#include <png.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static int spool_file(const char *path, const dw_photo *photo, size_t *n) {
  int fd = open(path, O_RDWR | O_CREAT | O_TRUNC, 0600);
  *n = dw_spool_bytes(dw_photo_info_get(photo));
  assert_true(fd >= 0);
  assert_int_equal(ftruncate(fd, (off_t)*n), 0);
  return fd;
}

/* Fills a spool file beside the photo as the bench does; returns its bytes. */
static uint8_t *spool_write(const char *photo_path, const char *spool_path, size_t *n) {
  dw_error err;
  dw_photo *photo = photo_open_ok(photo_path);
  int fd = spool_file(spool_path, photo, n);
  if (dw_spool_fill(photo, fd, &err) != DW_OK) fail_msg("%s", err.text);
  dw_photo_close(photo);
  close(fd);
  return bytes_read(spool_path, n);
}

static dw_photo *spool_open_ok(const char *path) {
  dw_error err;
  dw_photo *photo = NULL;
  if (dw_spool_open(path, "the photo", NULL, &photo, &err) != DW_OK) fail_msg("%s", err.text);
  return photo;
}

static void assert_same_patch(const dw_patch *a, const dw_patch *b) {
  assert_memory_equal(&a->rect, &b->rect, sizeof a->rect);
  size_t n = (size_t)a->rect.w * (size_t)a->rect.h;
  assert_memory_equal(a->clip, b->clip, n);
  for (size_t i = 0; i < 3 * n; i++) {
    double root = sqrt(fabs(a->rgb[i])), spooled = sqrt(fabs(b->rgb[i]));
    if (fabs(root - spooled) > 0.51 / 16000) fail_msg("%zu: %g and %g", i, a->rgb[i], b->rgb[i]);
  }
}

static void assert_same(const char *photo_path, const char *spool_path) {
  static const dw_rect rects[] = {{0, 0, 5, 5}, {-3, 10, 20, 7}, {20, 3, 1000, 1000}, {7, 7, 1, 1}};
  enum { N = sizeof rects / sizeof *rects };
  dw_error err;
  dw_patch own[N], spooled[N];
  dw_arena *arena = dw_arena_new(0);
  dw_photo *photo = photo_open_ok(photo_path), *spool = spool_open_ok(spool_path);
  assert_int_equal(dw_photo_info_get(photo)->width, dw_photo_info_get(spool)->width);
  assert_int_equal(dw_photo_info_get(photo)->height, dw_photo_info_get(spool)->height);
  assert_string_equal(dw_photo_info_get(photo)->profile, dw_photo_info_get(spool)->profile);
  assert_int_equal(dw_photo_patches(photo, rects, N, arena, own, &err), DW_OK);
  assert_int_equal(dw_photo_patches(spool, rects, N, arena, spooled, &err), DW_OK);
  for (size_t i = 0; i < N; i++) assert_same_patch(&own[i], &spooled[i]);
  dw_photo_close(photo);
  dw_photo_close(spool);
  dw_arena_free(arena);
}

static void test_every_orientation(void **state) {
  const char *path = in_folder(state, "a.jpg"), *spool = in_folder(state, "a.spool");
  picture p = picture_make(61, 43, 3, 8);
  size_t n;
  for (int orientation = 1; orientation <= 8; orientation++) {
    jpeg_write(path, &p, &(jpeg_how){.orientation = orientation, .h = 2, .v = 2});
    free(spool_write(path, spool, &n));
    assert_same(path, spool);
  }
  free(p.bytes);
}

static void test_every_depth(void **state) {
  static const png_how hows[] = {{.type = PNG_COLOR_TYPE_RGB, .depth = 8},
                                 {.type = PNG_COLOR_TYPE_RGB, .depth = 16, .interlaced = 1},
                                 {.type = PNG_COLOR_TYPE_GRAY, .depth = 16},
                                 {.type = PNG_COLOR_TYPE_GRAY, .depth = 8, .orientation = 6}};
  const char *path = in_folder(state, "a.png"), *spool = in_folder(state, "a.spool");
  for (size_t i = 0; i < sizeof hows / sizeof *hows; i++) {
    picture p = picture_make(53, 47, hows[i].type == PNG_COLOR_TYPE_GRAY ? 1 : 3, hows[i].depth);
    size_t n;
    png_write(path, &p, &hows[i]);
    free(spool_write(path, spool, &n));
    assert_same(path, spool);
    free(p.bytes);
  }
}

/* Every step-th pixel and row of the whole patch, whichever way the photo is stored. */
static void test_thinned(void **state) {
  static const dw_rect rect = {3, 5, 31, 22};
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(61, 43, 3, 8);
  dw_error err;
  for (int orientation = 1; orientation <= 8; orientation++)
    for (int step = 1; step <= 40; step += step < 4 ? 1 : 9) {
      jpeg_write(path, &p, &(jpeg_how){.orientation = orientation});
      dw_photo *photo = photo_open_ok(path);
      dw_arena *arena = dw_arena_new(0);
      dw_patch whole, thin;
      assert_int_equal(dw_photo_patches(photo, &rect, 1, arena, &whole, &err), DW_OK);
      assert_int_equal(dw_photo_patch_thinned(photo, rect, step, arena, &thin, &err), DW_OK);
      assert_int_equal(thin.rect.x, 3);
      assert_int_equal(thin.rect.y, 5);
      assert_int_equal(thin.rect.w, (31 + step - 1) / step);
      assert_int_equal(thin.rect.h, (22 + step - 1) / step);
      for (int y = 0; y < thin.rect.h; y++)
        for (int x = 0; x < thin.rect.w; x++) {
          size_t from = (size_t)(y * step * 31 + x * step), to = (size_t)(y * thin.rect.w + x);
          assert_memory_equal(whole.rgb + 3 * from, thin.rgb + 3 * to, 3 * sizeof(float));
          assert_int_equal(whole.clip[from], thin.clip[to]);
        }
      assert_int_equal(dw_photo_patch_thinned(photo, rect, 0, arena, &thin, &err), DW_BAD_INPUT);
      dw_arena_free(arena);
      dw_photo_close(photo);
    }
  free(p.bytes);
}

/* A part of a photo is what its preview shows there, when neither is reduced; from the spool as well. */
static void test_part(void **state) {
  const char *path = in_folder(state, "a.jpg"), *spool_path = in_folder(state, "a.spool");
  picture p = picture_make(90, 70, 3, 8);
  jpeg_write(path, &p, &(jpeg_how){.orientation = 6});
  size_t n;
  dw_error err;
  free(spool_write(path, spool_path, &n));
  dw_photo *photos[] = {photo_open_ok(path), spool_open_ok(spool_path)};
  dw_arena *arena = dw_arena_new(0);
  dw_preview whole;
  assert_int_equal(dw_photo_preview(photos[0], 500, arena, &whole, &err), DW_OK);
  for (int i = 0; i < 2; i++) {
    dw_preview part;
    assert_int_equal(dw_photo_part(photos[i], (dw_rect){-5, 20, 35, 25}, 500, arena, &part, &err), DW_OK);
    assert_int_equal(part.width, 30);
    assert_int_equal(part.height, 25);
    for (int y = 0; y < part.height; y++)
      for (int x = 0; x < 3 * part.width; x++)
        assert_in_range(part.rgb[3 * y * part.width + x] + 1 - whole.rgb[3 * (y + 20) * whole.width + x], 0,
                        2);
    assert_int_equal(dw_photo_part(photos[i], (dw_rect){0, 0, 60, 40}, 30, arena, &part, &err), DW_OK);
    assert_int_equal(part.width, 30);
    assert_int_equal(part.height, 20);
    assert_int_equal(dw_photo_part(photos[i], (dw_rect){70, 0, 9, 9}, 30, arena, &part, &err), DW_BAD_INPUT);
    dw_photo_close(photos[i]);
  }
  dw_arena_free(arena);
  free(p.bytes);
}

static void test_cut_photo_gives_none(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(200, 200, 3, 8);
  jpeg_write(path, &p, &(jpeg_how){0});
  size_t n, room;
  uint8_t *bytes = bytes_read(path, &n);
  bytes_write(path, bytes, n / 2);
  dw_error err;
  dw_photo *photo = photo_open_ok(path);
  int fd = spool_file(in_folder(state, "a.spool"), photo, &room);
  assert_int_equal(dw_spool_fill(photo, fd, &err), DW_CORRUPT);
  dw_photo_close(photo);
  close(fd);
  assert_int_equal(dw_spool_open(in_folder(state, "a.spool"), "x", NULL, &photo, &err), DW_CORRUPT);
  free(bytes);
  free(p.bytes);
}

/* Whatever bytes the head holds: refused, or a photo whose rows can be read without harm. */
static void test_heads_that_lie(void **state) {
  const char *path = in_folder(state, "a.jpg"), *spool = in_folder(state, "a.spool");
  picture p = picture_make(20, 20, 3, 8);
  jpeg_write(path, &p, &(jpeg_how){0});
  size_t n, refused = 0;
  uint8_t *memory = spool_write(path, spool, &n);
  dw_error err;
  dw_photo *photo;
  for (size_t at = 0; at < 16 + sizeof(dw_photo_info); at++) {
    uint8_t before = memory[at];
    memory[at] = (uint8_t)(before ^ 0xFF);
    bytes_write(spool, memory, n);
    memory[at] = before;
    if (dw_spool_open(spool, "the photo", NULL, &photo, &err) != DW_OK) {
      assert_int_equal(err.code, DW_CORRUPT);
      refused++;
      continue;
    }
    dw_arena *arena = dw_arena_new(0);
    dw_patch patch;
    assert_int_equal(dw_photo_patches(photo, &(dw_rect){0, 0, 20, 20}, 1, arena, &patch, &err), DW_OK);
    dw_arena_free(arena);
    dw_photo_close(photo);
  }
  assert_true(refused >= 16 + 5 * sizeof(int));
  bytes_write(spool, memory, n - 1);
  assert_int_equal(dw_spool_open(spool, "the photo", NULL, &photo, &err), DW_CORRUPT);
  free(memory);
  free(p.bytes);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_every_orientation, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_every_depth, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_thinned, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_part, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_cut_photo_gives_none, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_heads_that_lie, folder_make, folder_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
