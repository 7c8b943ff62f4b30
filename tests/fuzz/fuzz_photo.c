/* Any bytes as a photo of one format (FUZZ_FORMAT): it opens or is refused in words; areas are finite and inside; nothing leaks. */
#include "fuzz.h"

#include "photo/decode.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <zlib.h>

static uint32_t word_at(const uint8_t *p) {
  return (uint32_t)p[0] << 24 | (uint32_t)p[1] << 16 | (uint32_t)p[2] << 8 | p[3];
}

/* PNG check sums would stop nearly every mutation at the door: they are set right, for inputs of even
 * length. */
static void mend_checksums(uint8_t *bytes, size_t n) {
  if (n % 2 || n < 8 || memcmp(bytes, "\x89PNG", 4) != 0) return;
  for (size_t at = 8; n - at >= 12;) {
    size_t length = word_at(bytes + at);
    if (length > n - at - 12) return;
    uLong sum = crc32(0, bytes + at + 4, (uInt)length + 4);
    for (int i = 0; i < 4; i++) bytes[at + 8 + length + (size_t)i] = (uint8_t)(sum >> (24 - 8 * i));
    at += 12 + length;
  }
}

static FILE *file_of(const uint8_t *bytes, size_t n) {
  uint8_t *copy = (uint8_t *)fuzz_text(bytes, n);
  mend_checksums(copy, n);
  FILE *file = fdopen(dup(fuzz_file(copy, n)), "rb");
  promise(file != NULL, "a file in memory");
  free(copy);
  return file;
}

static void check_patch(const dw_patch *patch, const dw_photo_info *info) {
  const dw_rect *r = &patch->rect;
  promise(r->x >= 0 && r->y >= 0 && r->w > 0 && r->h > 0, "an area is not empty");
  promise(r->x + r->w <= info->width && r->y + r->h <= info->height, "an area lies inside");
  size_t n = (size_t)r->w * (size_t)r->h;
  for (size_t i = 0; i < 3 * n; i++) promise(isfinite(patch->rgb[i]), "a color is a number");
  for (size_t i = 0; i < n; i++) promise(patch->clip[i] <= 3, "a clip flag is known");
}

/* step  1: as they are; more: thinned, and halved where the decoder does that */
static void read_areas(dw_photo *photo, int step, dw_arena *arena) {
  const dw_photo_info *info = dw_photo_info_get(photo);
  dw_rect rects[3] = {{info->width / 3, info->height / 2, 7, 3},
                      {-2, info->height - 3, 9, 20},
                      {info->width / 2, 1 - info->height, 1, 2 * info->height}};
  dw_patch patches[3];
  dw_error err;
  dw_status status = step > 1 ? dw_photo_patches_halved(photo, rects, 3, step, arena, patches, &err)
                              : dw_photo_patches(photo, rects, 3, arena, patches, &err);
  if (status != DW_OK) {
    promise_refusal(status, &err);
    return;
  }
  for (int i = 0; i < 3; i++) check_patch(&patches[i], info);
}

/* keep  as before areas that are halved */
static void read_preview(dw_photo *photo, bool keep, dw_arena *arena) {
  dw_preview preview;
  dw_error err;
  uint8_t *jpeg = NULL;
  size_t n = 0;
  dw_status status = keep ? dw_photo_preview_halved(photo, 24, arena, &preview, &err)
                          : dw_photo_preview(photo, 24, arena, &preview, &err);
  if (status != DW_OK) {
    promise_refusal(status, &err);
    return;
  }
  promise(preview.width > 0 && preview.width <= 24 && preview.height > 0 && preview.height <= 24,
          "a small preview");
  promise(dw_preview_jpeg(&preview, 80, &jpeg, &n, &err) == DW_OK && n > 100, "a preview can be written");
  free(jpeg);
}

static void check_info(const dw_photo_info *info) {
  promise(info->width > 0 && info->height > 0, "a photo has a size");
  promise(info->orientation >= 1 && info->orientation <= 8, "an orientation is 1 to 8");
  promise(info->bits == 8 || info->bits == 16, "8 or 16 bits");
  promise(strnlen(info->profile, sizeof info->profile) < sizeof info->profile && info->profile[0],
          "a profile's title");
  promise(info->notes.n <= DW_NOTES_MAX, "few notes");
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  const dw_photo_limits limits = {.max_megapixels = 0.05, .max_bytes = 4 << 20};
  static const dw__format *const formats[] = {&FUZZ_FORMAT, NULL};
  dw_photo *photo = NULL;
  dw_error err;
  FILE *file = file_of(bytes, n);
  dw_status status = dw__photo_open_here(file, "the photo", &limits, formats, &photo, &err);
  if (status == DW_OK) {
    dw_arena *arena = dw_arena_new(0);
    promise(arena != NULL, "memory");
    check_info(dw_photo_info_get(photo));
    read_areas(photo, 1, arena);
    read_preview(photo, false, arena);
    read_preview(photo, true, arena);
    for (int step = 2; step <= 4; step++) read_areas(photo, step, arena);
    dw_arena_free(arena);
    dw_photo_close(photo);
  } else {
    promise(photo == NULL, "no photo on error");
    promise_refusal(status, &err);
  }
  return 0;
}
