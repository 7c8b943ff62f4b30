/* Marked rectangles, from a photo of this process or by its decoder. */
#include "photo/decoder.h"
#include "photo/patches.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { RECTS_MAX = 100000 };

/* Tables and matrix of which no sum of products is too large for a number. */
static bool light_sound(const dw_code_light *light) {
  const float most = 1e6f;
  for (size_t k = 0; k < 3; k++)
    for (size_t i = 0; i < 256; i++)
      if (!(fabsf(light->table[k][i]) < most)) return false;
  for (size_t i = 0; i < 9; i++)
    if (!(fabsf(light->matrix[i]) < most)) return false;
  return true;
}

/* What a decoder wrote may be anything, but no reader is to meet a color that is no number. */
static bool sound(const dw_patch *patch) {
  if (patch->code) return light_sound(patch->light);
  const uint32_t exponent = 0x7F800000; /* IEEE 754: all ones in what is infinite or no number */
  size_t n = (size_t)patch->rect.w * (size_t)patch->rect.h;
  uint32_t strange = 0;
  uint8_t flags = 0;
  for (size_t i = 0; i < 3 * n; i++) {
    uint32_t bits;
    memcpy(&bits, &patch->rgb[i], sizeof bits);
    strange |= (bits & exponent) == exponent;
  }
  for (size_t i = 0; i < n; i++) flags |= patch->clip[i];
  return !strange && flags <= (DW_CLIP_HIGH | DW_CLIP_LOW);
}

static dw_status check_all(const dw_photo *photo, const dw__patches *patches, size_t n, dw_error *err) {
  for (size_t i = 0; i < n; i++)
    if (!sound(dw__patches_get(patches, i)))
      return dw_fail(err, DW_CORRUPT,
                     "Decoding %s gave colors that can't be: save it anew as a plain JPEG or PNG.",
                     photo->path);
  return DW_OK;
}

static dw_status ask(dw_photo *photo, const dw_rect *rects, size_t n, dw__thinning thin, size_t bytes, int fd,
                     dw_error *err) {
  ssize_t size = (ssize_t)(n * sizeof *rects);
  dw__ask *what = calloc(1, sizeof *what);
  if (!what || pwrite(fd, rects, (size_t)size, 0) != size) {
    free(what);
    return dw_fail_memory(err, "the marked areas");
  }
  what->kind = DW__ASK_PATCHES;
  what->n = n;
  what->thin = thin;
  what->bytes = bytes;
  dw_status status = dw__decoder_ask(photo, what, fd, err);
  free(what);
  return status;
}

static dw_status fill_apart(dw_photo *photo, const dw_rect *rects, size_t n, dw__thinning thin,
                            dw__patches *patches, dw_arena *arena, dw_error *err) {
  size_t offset = dw__patches_offset(n), bytes = offset + dw__patches_bytes(patches);
  int fd;
  void *memory;
  dw_status status = dw__memory_new(bytes, &fd, err);
  if (status != DW_OK) return status;
  status = ask(photo, rects, n, thin, bytes, fd, err);
  if (status == DW_OK) status = dw__memory_take(photo, fd, bytes, arena, &memory, err);
  close(fd);
  if (status != DW_OK) return status;
  dw__patches_place(patches, (char *)memory + offset);
  if (!dw__patches_filled(patches)) return DW_OK;
  return check_all(photo, patches, n, err);
}

static dw_status fill_here(dw_photo *photo, dw__patches *patches, dw_arena *arena, dw_error *err) {
  void *memory = dw_arena_take(arena, dw__patches_bytes(patches), 1);
  if (!memory) return dw_fail_memory(err, "the marked areas");
  dw__patches_place(patches, memory);
  return dw__patches_fill(patches, photo, err);
}

static dw_status read_patches(dw_photo *photo, const dw_rect *rects, size_t n, dw__thinning thin,
                              dw_arena *arena, dw_patch *out, dw_error *err) {
  dw__patches *patches = NULL;
  if (n > RECTS_MAX)
    return dw_fail(err, DW_TOO_LARGE, "More than %d areas are marked in %s.", RECTS_MAX, photo->path);
  dw_status status = dw__patches_new(photo, rects, n, thin, &patches, err);
  if (status == DW_OK)
    status = photo->format ? fill_here(photo, patches, arena, err)
                           : fill_apart(photo, rects, n, thin, patches, arena, err);
  bool filled = status == DW_OK && dw__patches_filled(patches);
  for (size_t i = 0; i < n && filled; i++) out[i] = *dw__patches_get(patches, i);
  dw__patches_free(patches);
  if (status != DW_OK || filled) return status;
  thin.coded = false;
  return read_patches(photo, rects, n, thin, arena, out, err);
}

dw_status dw_photo_patches(dw_photo *photo, const dw_rect *rects, size_t n, dw_arena *arena, dw_patch *out,
                           dw_error *err) {
  return n ? read_patches(photo, rects, n, (dw__thinning){.step = 1}, arena, out, err) : DW_OK;
}

static dw_status read_thinned(dw_photo *photo, const dw_rect *rects, size_t n, dw__thinning thin,
                              dw_arena *arena, dw_patch *out, dw_error *err) {
  if (thin.step < 1)
    return dw_fail(err, DW_BAD_INPUT, "A photo can't be thinned by a step of %d.", thin.step);
  return n ? read_patches(photo, rects, n, thin, arena, out, err) : DW_OK;
}

dw_status dw_photo_patches_thinned(dw_photo *photo, const dw_rect *rects, size_t n, int step, dw_arena *arena,
                                   dw_patch *out, dw_error *err) {
  return read_thinned(photo, rects, n, (dw__thinning){.step = step}, arena, out, err);
}

dw_status dw_photo_patches_halved(dw_photo *photo, const dw_rect *rects, size_t n, int step, dw_arena *arena,
                                  dw_patch *out, dw_error *err) {
  return read_thinned(photo, rects, n, (dw__thinning){.step = step, .halved = true}, arena, out, err);
}

dw_status dw_photo_patches_coded(dw_photo *photo, const dw_rect *rects, size_t n, int step, dw_arena *arena,
                                 dw_patch *out, dw_error *err) {
  const bool apart = !photo->format;
  return read_thinned(photo, rects, n, (dw__thinning){.step = step, .halved = true, .coded = apart}, arena,
                      out, err);
}

dw_status dw_photo_patch_thinned(dw_photo *photo, dw_rect rect, int step, dw_arena *arena, dw_patch *out,
                                 dw_error *err) {
  return dw_photo_patches_thinned(photo, &rect, 1, step, arena, out, err);
}
