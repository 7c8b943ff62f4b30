/* Spools: the same pixels as the photo's own, for every orientation and depth, and nothing believed unseen.
 */
#include "pictures.h"

#include "pourtone/color.h"

#include <math.h>
#include <png.h>
#include <stdlib.h>
#include <string.h>

/* Fills a spool file beside the photo as the bench does, from memory; returns its bytes. */
static uint8_t *spool_write(const char *photo_path, const char *spool_path, size_t *n) {
  pt_error err;
  pt_photo *photo = photo_open_ok(photo_path);
  *n = pt_spool_bytes(pt_photo_info_get(photo));
  uint8_t *memory = calloc(*n, 1);
  assert_non_null(memory);
  if (pt_spool_fill(photo, memory, &err) != PT_OK) fail_msg("%s", err.text);
  bytes_write(spool_path, memory, *n);
  pt_photo_close(photo);
  return memory;
}

static pt_photo *spool_open_ok(const char *path) {
  pt_error err;
  pt_photo *photo = NULL;
  if (pt_spool_open(path, "the photo", NULL, &photo, &err) != PT_OK) fail_msg("%s", err.text);
  return photo;
}

static void assert_same_patch(const pt_patch *a, const pt_patch *b) {
  assert_memory_equal(&a->rect, &b->rect, sizeof a->rect);
  size_t n = (size_t)a->rect.w * (size_t)a->rect.h;
  assert_memory_equal(a->clip, b->clip, n);
  for (size_t i = 0; i < 3 * n; i++) {
    double root = sqrt(fabs(a->rgb[i])), spooled = sqrt(fabs(b->rgb[i]));
    if (fabs(root - spooled) > 0.51 / 16000) fail_msg("%zu: %g and %g", i, a->rgb[i], b->rgb[i]);
  }
}

static void assert_same(const char *photo_path, const char *spool_path) {
  static const pt_rect rects[] = {{0, 0, 5, 5}, {-3, 10, 20, 7}, {20, 3, 1000, 1000}, {7, 7, 1, 1}};
  enum { N = sizeof rects / sizeof *rects };
  pt_error err;
  pt_patch own[N], spooled[N];
  pt_arena *arena = pt_arena_new(0);
  pt_photo *photo = photo_open_ok(photo_path), *spool = spool_open_ok(spool_path);
  assert_int_equal(pt_photo_info_get(photo)->width, pt_photo_info_get(spool)->width);
  assert_int_equal(pt_photo_info_get(photo)->height, pt_photo_info_get(spool)->height);
  assert_string_equal(pt_photo_info_get(photo)->profile, pt_photo_info_get(spool)->profile);
  assert_int_equal(pt_photo_patches(photo, rects, N, arena, own, &err), PT_OK);
  assert_int_equal(pt_photo_patches(spool, rects, N, arena, spooled, &err), PT_OK);
  for (size_t i = 0; i < N; i++) assert_same_patch(&own[i], &spooled[i]);
  pt_photo_close(photo);
  pt_photo_close(spool);
  pt_arena_free(arena);
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
  static const pt_rect rect = {3, 5, 31, 22};
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(61, 43, 3, 8);
  pt_error err;
  for (int orientation = 1; orientation <= 8; orientation++)
    for (int step = 1; step <= 40; step += step < 4 ? 1 : 9) {
      jpeg_write(path, &p, &(jpeg_how){.orientation = orientation});
      pt_photo *photo = photo_open_ok(path);
      pt_arena *arena = pt_arena_new(0);
      pt_patch whole, thin;
      assert_int_equal(pt_photo_patches(photo, &rect, 1, arena, &whole, &err), PT_OK);
      assert_int_equal(pt_photo_patch_thinned(photo, rect, step, arena, &thin, &err), PT_OK);
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
      assert_int_equal(pt_photo_patch_thinned(photo, rect, 0, arena, &thin, &err), PT_BAD_INPUT);
      pt_arena_free(arena);
      pt_photo_close(photo);
    }
  free(p.bytes);
}

/* A part of a photo is what its preview shows there, when neither is reduced; from the spool as well. */
static void test_part(void **state) {
  const char *path = in_folder(state, "a.jpg"), *spool_path = in_folder(state, "a.spool");
  picture p = picture_make(90, 70, 3, 8);
  jpeg_write(path, &p, &(jpeg_how){.orientation = 6});
  size_t n;
  pt_error err;
  free(spool_write(path, spool_path, &n));
  pt_photo *photos[] = {photo_open_ok(path), spool_open_ok(spool_path)};
  pt_arena *arena = pt_arena_new(0);
  pt_preview whole;
  assert_int_equal(pt_photo_preview(photos[0], 500, arena, &whole, &err), PT_OK);
  for (int i = 0; i < 2; i++) {
    pt_preview part;
    assert_int_equal(pt_photo_part(photos[i], (pt_rect){-5, 20, 35, 25}, 500, arena, &part, &err), PT_OK);
    assert_int_equal(part.width, 30);
    assert_int_equal(part.height, 25);
    for (int y = 0; y < part.height; y++)
      for (int x = 0; x < 3 * part.width; x++)
        assert_in_range(part.rgb[3 * y * part.width + x] + 1 - whole.rgb[3 * (y + 20) * whole.width + x], 0,
                        2);
    assert_int_equal(pt_photo_part(photos[i], (pt_rect){0, 0, 60, 40}, 30, arena, &part, &err), PT_OK);
    assert_int_equal(part.width, 30);
    assert_int_equal(part.height, 20);
    assert_int_equal(pt_photo_part(photos[i], (pt_rect){70, 0, 9, 9}, 30, arena, &part, &err), PT_BAD_INPUT);
    pt_photo_close(photos[i]);
  }
  pt_arena_free(arena);
  free(p.bytes);
}

static void test_cut_photo_gives_none(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(200, 200, 3, 8);
  jpeg_write(path, &p, &(jpeg_how){0});
  size_t n, room;
  uint8_t *bytes = bytes_read(path, &n);
  bytes_write(path, bytes, n / 2);
  pt_error err;
  pt_photo *photo = photo_open_ok(path);
  room = pt_spool_bytes(pt_photo_info_get(photo));
  uint8_t *memory = calloc(room, 1);
  assert_int_equal(pt_spool_fill(photo, memory, &err), PT_CORRUPT);
  bytes_write(in_folder(state, "a.spool"), memory, room);
  pt_photo_close(photo);
  assert_int_equal(pt_spool_open(in_folder(state, "a.spool"), "x", NULL, &photo, &err), PT_CORRUPT);
  free(memory);
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
  pt_error err;
  pt_photo *photo;
  for (size_t at = 0; at < 16 + sizeof(pt_photo_info); at++) {
    uint8_t before = memory[at];
    memory[at] = (uint8_t)(before ^ 0xFF);
    bytes_write(spool, memory, n);
    memory[at] = before;
    if (pt_spool_open(spool, "the photo", NULL, &photo, &err) != PT_OK) {
      assert_int_equal(err.code, PT_CORRUPT);
      refused++;
      continue;
    }
    pt_arena *arena = pt_arena_new(0);
    pt_patch patch;
    assert_int_equal(pt_photo_patches(photo, &(pt_rect){0, 0, 20, 20}, 1, arena, &patch, &err), PT_OK);
    pt_arena_free(arena);
    pt_photo_close(photo);
  }
  assert_true(refused >= 16 + 5 * sizeof(int));
  bytes_write(spool, memory, n - 1);
  assert_int_equal(pt_spool_open(spool, "the photo", NULL, &photo, &err), PT_CORRUPT);
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
