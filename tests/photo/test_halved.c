/* A JPEG decoded at half its size: for parts of it, and once for all of it and parts. */
#include "pictures.h"

#include "dropwise/color.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { W = 122, H = 86, ORIENTATIONS = 8 };
enum { EVEN_W = 128, EVEN_H = 88 }; /* so that each halving is one of the decoder's */

static const int sampling[][2] = {{1, 1}, {2, 1}, {1, 2}, {2, 2}};
enum { SAMPLINGS = sizeof sampling / sizeof *sampling };

/* Of a JPEG halved, the pixels of the same file as libjpeg reads it at half its size; and where their middles lie. */
static void patch_check(const dw_patch *thin, const dw_rect *rect, const picture *upright) {
  for (int at = 0; at < thin->rect.w * thin->rect.h; at++) {
    double middle[2];
    int x = (rect->x + at % thin->rect.w * thin->step) / 2,
        y = (rect->y + at / thin->rect.w * thin->step) / 2;
    const uint8_t *want = upright->bytes + 3 * (y * upright->w + x);
    for (int c = 0; c < 3; c++)
      assert_float_equal(thin->rgb[3 * at + c], (float)dw_srgb_decode(want[c] / 255.0), 1e-5);
    dw_patch_in_photo(thin, at % thin->rect.w, at / thin->rect.w, &middle[0], &middle[1]);
    if (thin->step % 2) continue;
    assert_true(fabs(middle[0] - (2 * x + .5)) < 1e-9);
    assert_true(fabs(middle[1] - (2 * y + .5)) < 1e-9);
  }
}

static void test_patches(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(W, H, 3, 8);
  dw_error err;
  for (int i = 0; i < ORIENTATIONS * SAMPLINGS; i++)
    for (int step = 2; step <= 42; step += step < 7 ? 1 : 35) {
      const int orientation = 1 + i % ORIENTATIONS, *s = sampling[i / ORIENTATIONS];
      const dw_rect rects[] = {{3, 5, 40, 22}, {20, 26 + i + step / 6, 60, 23}};
      jpeg_write(path, &p, &(jpeg_how){.h = s[0], .v = s[1], .orientation = orientation});
      picture halved = jpeg_read(path, 3, 2), upright = picture_turned(&halved, orientation);
      dw_photo *photo = photo_open_ok(path);
      dw_arena *arena = dw_arena_new(0);
      dw_patch thin[2];
      assert_int_equal(dw_photo_patches_halved(photo, rects, 2, step, arena, thin, &err), DW_OK);
      for (int k = 0; k < 2; k++) patch_check(&thin[k], &rects[k], &upright);
      dw_arena_free(arena);
      dw_photo_close(photo);
      free(halved.bytes);
      free(upright.bytes);
    }
  free(p.bytes);
}

/* The mean of k x k pixels of a picture, rounded. */
static int mean_of(const picture *p, int k, int x, int y, int c) {
  int sum = k * k / 2;
  for (int v = y * k; v < (y + 1) * k; v++)
    for (int u = x * k; u < (x + 1) * k; u++) sum += p->bytes[3 * (v * p->w + u) + c];
  return sum / (k * k);
}

/* A preview that parts follow: the half itself, or means of it; and the parts as they are without it. */
static void kept_check(const char *path, const picture *half, int reduce) {
  static const dw_rect rect = {10, 6, 61, 33};
  const int w = EVEN_W / reduce, h = EVEN_H / reduce;
  dw_error err;
  dw_photo *photo = photo_open_ok(path), *fresh = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  dw_preview view;
  dw_patch kept, own;
  assert_int_equal(dw_photo_preview_halved(photo, w, arena, &view, &err), DW_OK);
  assert_int_equal(view.width, w);
  assert_int_equal(view.height, h);
  for (int y = 0; y < h; y++)
    for (int x = 0; x < w; x++)
      for (int c = 0; c < 3; c++)
        assert_int_equal(view.rgb[3 * (y * w + x) + c], mean_of(half, reduce / 2, x, y, c));
  for (int step = 1; step <= 4; step++) {
    assert_int_equal(dw_photo_patches_halved(photo, &rect, 1, step, arena, &kept, &err), DW_OK);
    assert_int_equal(dw_photo_patches_halved(fresh, &rect, 1, step, arena, &own, &err), DW_OK);
    assert_memory_equal(&kept.rect, &own.rect, sizeof kept.rect);
    assert_memory_equal(kept.rgb, own.rgb, (size_t)(own.rect.w * own.rect.h) * 3 * sizeof *own.rgb);
    assert_memory_equal(kept.clip, own.clip, (size_t)(own.rect.w * own.rect.h));
  }
  dw_arena_free(arena);
  dw_photo_close(photo);
  dw_photo_close(fresh);
}

static void test_kept(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(EVEN_W, EVEN_H, 3, 8);
  for (int s = 0; s < SAMPLINGS; s++) {
    jpeg_write(path, &p, &(jpeg_how){.h = sampling[s][0], .v = sampling[s][1]});
    picture half = jpeg_read(path, 3, 2);
    for (int reduce = 2; reduce <= 8; reduce *= 2) kept_check(path, &half, reduce);
    free(half.bytes);
  }
  free(p.bytes);
}

/* A file that ends early: what there is of it as without, nothing kept, and the lost part is refused. */
static void test_cut(void **state) {
  const char *path = in_folder(state, "a.jpg");
  picture p = picture_make(W, H, 3, 8);
  size_t n;
  dw_error err;
  dw_preview plain, halved;
  dw_patch patch;
  dw_arena *arena = dw_arena_new(0);
  jpeg_write(path, &p, &(jpeg_how){0});
  uint8_t *bytes = bytes_read(path, &n);
  bytes_write(path, bytes, n / 2);
  dw_photo *photo = photo_open_ok(path), *fresh = photo_open_ok(path);
  assert_int_equal(dw_photo_preview(fresh, W / 4, arena, &plain, &err), DW_OK);
  assert_int_equal(dw_photo_preview_halved(photo, W / 4, arena, &halved, &err), DW_OK);
  assert_int_equal(plain.height, halved.height);
  assert_memory_equal(plain.rgb, halved.rgb, (size_t)(plain.width * plain.height) * 3);
  assert_int_equal(dw_photo_info_get(photo)->notes.n, dw_photo_info_get(fresh)->notes.n);
  assert_int_equal(dw_photo_patches_halved(photo, &(dw_rect){0, H - 20, 20, 20}, 1, 2, arena, &patch, &err),
                   DW_CORRUPT);
  assert_int_equal(dw_photo_patches_halved(photo, &(dw_rect){0, 0, 20, 8}, 1, 2, arena, &patch, &err), DW_OK);
  dw_arena_free(arena);
  dw_photo_close(photo);
  dw_photo_close(fresh);
  free(bytes);
  free(p.bytes);
}

/* Codes give the light and the clip flags that the same patch has without; a gray photo has no such codes. */
static void coded_check(const char *path, bool codes) {
  static const dw_rect rects[] = {{3, 5, 41, 22}, {20, 26, 60, 23}};
  dw_error err;
  dw_arena *arena = dw_arena_new(0);
  dw_photo *photo = photo_open_ok(path);
  for (int step = 1; step <= 4; step++) {
    dw_patch coded[2], own[2];
    assert_int_equal(dw_photo_patches_coded(photo, rects, 2, step, arena, coded, &err), DW_OK);
    assert_int_equal(dw_photo_patches_halved(photo, rects, 2, step, arena, own, &err), DW_OK);
    for (int k = 0; k < 2; k++) {
      assert_int_equal(coded[k].code != NULL, codes);
      assert_memory_equal(&coded[k].rect, &own[k].rect, sizeof own[k].rect);
      assert_memory_equal(coded[k].off, own[k].off, sizeof own[k].off);
      for (size_t i = 0; i < (size_t)(own[k].rect.w * own[k].rect.h); i++) {
        float rgb[3];
        assert_int_equal(dw_patch_pixel(&coded[k], i, rgb), own[k].clip[i]);
        assert_memory_equal(rgb, own[k].rgb + 3 * i, sizeof rgb);
      }
    }
  }
  dw_arena_free(arena);
  dw_photo_close(photo);
}

static void test_coded(void **state) {
  const char *path = in_folder(state, "a.jpg");
  for (int samples = 1; samples <= 3; samples += 2) {
    picture p = picture_make(W, H, samples, 8);
    for (int orientation = 1; orientation <= ORIENTATIONS; orientation++) {
      jpeg_write(path, &p, &(jpeg_how){.orientation = orientation});
      coded_check(path, samples == 3);
    }
    free(p.bytes);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_patches, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_kept, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_cut, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_coded, folder_make, folder_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
