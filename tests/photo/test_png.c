/* PNG: every kind equals what was written, sample for sample; 16 bits stay 16 bits. */
#include "pictures.h"

#include "dropwise/color.h"

#include <png.h>
#include <stdlib.h>
#include <string.h>

typedef struct png_case {
  png_how how;
  int samples, bits; /* of the picture handed to libpng */
  const char *kind;
} png_case;

static const png_case cases[] = {
    {{.type = PNG_COLOR_TYPE_GRAY, .depth = 1}, 1, 8, "gray"},
    {{.type = PNG_COLOR_TYPE_GRAY, .depth = 2}, 1, 8, "gray"},
    {{.type = PNG_COLOR_TYPE_GRAY, .depth = 4}, 1, 8, "gray"},
    {{.type = PNG_COLOR_TYPE_GRAY, .depth = 8}, 1, 8, "gray"},
    {{.type = PNG_COLOR_TYPE_GRAY, .depth = 16}, 1, 16, "gray"},
    {{.type = PNG_COLOR_TYPE_GRAY, .depth = 8, .transparent = 1}, 1, 8, "gray"},
    {{.type = PNG_COLOR_TYPE_GRAY_ALPHA, .depth = 8}, 2, 8, "gray alpha"},
    {{.type = PNG_COLOR_TYPE_GRAY_ALPHA, .depth = 16}, 2, 16, "gray alpha"},
    {{.type = PNG_COLOR_TYPE_PALETTE, .depth = 1}, 1, 8, "palette"},
    {{.type = PNG_COLOR_TYPE_PALETTE, .depth = 2}, 1, 8, "palette"},
    {{.type = PNG_COLOR_TYPE_PALETTE, .depth = 4}, 1, 8, "palette"},
    {{.type = PNG_COLOR_TYPE_PALETTE, .depth = 8}, 1, 8, "palette"},
    {{.type = PNG_COLOR_TYPE_PALETTE, .depth = 8, .transparent = 1}, 1, 8, "palette"},
    {{.type = PNG_COLOR_TYPE_RGB, .depth = 8}, 3, 8, "RGB"},
    {{.type = PNG_COLOR_TYPE_RGB, .depth = 8, .transparent = 1}, 3, 8, "RGB"},
    {{.type = PNG_COLOR_TYPE_RGB, .depth = 16}, 3, 16, "RGB"},
    {{.type = PNG_COLOR_TYPE_RGB_ALPHA, .depth = 8}, 4, 8, "RGBA"},
    {{.type = PNG_COLOR_TYPE_RGB_ALPHA, .depth = 16}, 4, 16, "RGBA"},
};

/* Sample `from` of pixel i, as a number of `bits` bits. */
static unsigned sample_of(const picture *p, size_t i, int from) {
  size_t at = i * (size_t)p->samples + (size_t)from;
  return p->bits == 16 ? ((const uint16_t *)(const void *)p->bytes)[at] : p->bytes[at];
}

/* What the written picture means: gray and color without alpha, small depths spread over 0..255, palette
 * indices looked up in the palette that png_write makes. */
static picture meaning(const picture *p, const png_how *how) {
  bool gray = how->type == PNG_COLOR_TYPE_GRAY || how->type == PNG_COLOR_TYPE_GRAY_ALPHA;
  picture m = {p->w, p->h, gray ? 1 : 3, p->bits, NULL};
  size_t n = (size_t)p->w * (size_t)p->h;
  m.bytes = malloc(n * picture_pixel_bytes(&m));
  assert_non_null(m.bytes);
  for (size_t i = 0; i < n; i++)
    for (int c = 0; c < m.samples; c++) {
      size_t at = i * (size_t)m.samples + (size_t)c;
      int largest = (1 << how->depth) - 1, index = (int)sample_of(p, i, 0);
      const int entry[3] = {index * 255 / largest, (index * 97 + 31) & 255,
                            255 - index * 200 / (largest + 1)};
      if (how->depth == 16)
        ((uint16_t *)(void *)m.bytes)[at] = (uint16_t)sample_of(p, i, c);
      else if (how->type == PNG_COLOR_TYPE_PALETTE)
        m.bytes[at] = (uint8_t)entry[c];
      else
        m.bytes[at] = (uint8_t)((int)sample_of(p, i, c) * 255 / largest);
    }
  return m;
}

static picture picture_for(const png_case *one, int w, int h) {
  picture p = picture_make(w, h, one->samples, one->bits);
  if (one->how.depth < 8)
    for (int i = 0; i < w * h * one->samples; i++) p.bytes[i] = (uint8_t)(p.bytes[i] >> (8 - one->how.depth));
  return p;
}

static void check_parts(const char *path, const picture *m) {
  dw_rect rects[] = {{0, 0, 3, 3},
                     {m->w - 2, m->h - 2, 2, 2},
                     {m->w / 2, m->h / 3, 20, 9},
                     {m->w / 2 + 3, m->h / 3 + 4, 20, 9},
                     {1, m->h - 3, 40, 1}};
  dw_rect all = {0, 0, m->w, m->h};
  int kind = m->samples == 1 ? DW_PIXEL_GRAY : DW_PIXEL_RGB;
  assert_patches_equal(path, m, rects, 5, NULL, 0, kind);
  for (int i = 0; i < 5; i++) assert_patches_equal(path, m, &rects[i], 1, NULL, 0, kind);
  assert_patches_equal(path, m, &all, 1, NULL, 0, kind);
}

static void test_every_kind(void **state) {
  const char *path = in_folder(state, "a.png");
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
    for (int interlaced = 0; interlaced < 2; interlaced++) {
      png_how how = cases[i].how;
      how.interlaced = interlaced;
      picture p = picture_for(&cases[i], 83, 61), m = meaning(&p, &how);
      png_write(path, &p, &how);
      dw_photo *photo = photo_open_ok(path);
      const dw_photo_info *info = dw_photo_info_get(photo);
      assert_string_equal(info->format, "PNG");
      assert_string_equal(info->kind, cases[i].kind);
      assert_int_equal(info->bits, cases[i].bits);
      assert_int_equal(info->staged, interlaced);
      assert_int_equal(has_note(photo, "Transparency is ignored"),
                       how.transparent || (how.type & PNG_COLOR_MASK_ALPHA) != 0);
      dw_photo_close(photo);
      check_parts(path, &m);
      free(p.bytes);
      free(m.bytes);
    }
}

static void test_all_orientations(void **state) {
  const char *path = in_folder(state, "a.png");
  picture p = picture_make(57, 41, 3, 16);
  for (int o = 1; o <= 8; o++)
    for (int interlaced = 0; interlaced < 2; interlaced++) {
      png_write(
          path, &p,
          &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 16, .orientation = o, .interlaced = interlaced});
      picture turned = picture_turned(&p, o);
      check_parts(path, &turned);
      dw_photo *photo = photo_open_ok(path);
      assert_int_equal(dw_photo_info_get(photo)->orientation, o);
      assert_string_equal(dw_photo_info_get(photo)->taken, "2026-05-01 14:03:22");
      dw_photo_close(photo);
      free(turned.bytes);
    }
  free(p.bytes);
}

/* All 65,536 codes come through apart: none is lost to 8 bits. */
static void test_sixteen_bits_stay_sixteen(void **state) {
  const char *path = in_folder(state, "a.png");
  picture p = {256, 256, 1, 16, malloc(2 * 65536)};
  assert_non_null(p.bytes);
  for (int i = 0; i < 65536; i++) ((uint16_t *)(void *)p.bytes)[i] = (uint16_t)i;
  png_write(path, &p, &(png_how){.type = PNG_COLOR_TYPE_GRAY, .depth = 16});
  dw_photo *photo = photo_open_ok(path);
  dw_arena *arena = dw_arena_new(0);
  dw_patch patch;
  assert_int_equal(dw_photo_patches(photo, &(dw_rect){0, 0, 256, 256}, 1, arena, &patch, NULL), DW_OK);
  for (int i = 1; i < 65536; i++) assert_true(patch.rgb[3 * i] > patch.rgb[3 * (i - 1)]);
  for (int i = 0; i < 65536; i += 257) {
    double expected = dw_srgb_decode(i / 65535.0);
    assert_true(patch.rgb[3 * i] > expected - 1e-6 && patch.rgb[3 * i] < expected + 1e-6);
  }
  assert_int_equal(patch.clip[0], DW_CLIP_LOW);
  assert_int_equal(patch.clip[65535], DW_CLIP_HIGH);
  assert_int_equal(patch.clip[65280], 0); /* 0xFF00: the high byte is full, the sample is not */
  dw_arena_free(arena);
  dw_photo_close(photo);
  free(p.bytes);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test_setup_teardown(test_every_kind, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_all_orientations, folder_make, folder_remove),
      cmocka_unit_test_setup_teardown(test_sixteen_bits_stay_sixteen, folder_make, folder_remove),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
