#include "bait/view.h"

#include <string.h>

/* The longest side; and the least of one that is the photo's halved, which decoders do for nothing. */
enum { VIEW_SIDE = 1300, HALVED_LEAST = 900 };

/* The mean of linear light over one row of squares; out 3 x width. */
static void reduce_row(const dw_patch *photo, int scale, int row, int width, float *out) {
  float part = 1 / (float)(scale * scale);
  memset(out, 0, (size_t)width * 3 * sizeof *out);
  for (int y = 0; y < scale; y++) {
    const float *from = photo->rgb + 3 * (size_t)photo->rect.w * (size_t)(row * scale + y);
    for (size_t x = 0; x < (size_t)width; x++)
      for (int i = 0; i < scale; i++, from += 3)
        for (size_t k = 0; k < 3; k++) out[3 * x + k] += part * from[k];
  }
}

/* A photo that is not reduced keeps the noise of single pixels: 1, 2, 1 along each row, then down. */
static void soften(float *plane, int w, int h) {
  for (int pass = 0; pass < 2; pass++) {
    int lines = pass ? w : h, n = pass ? h : w;
    size_t step = pass ? (size_t)w : 1, next = pass ? 1 : (size_t)w;
    for (int line = 0; line < lines; line++) {
      float *at = plane + (size_t)line * next, before = at[0];
      for (int i = 0; i < n; i++, at += step) {
        float here = *at, behind = i + 1 < n ? at[step] : here;
        *at = .25f * before + .5f * here + .25f * behind;
        before = here;
      }
    }
  }
}

/* All that a search holds for each pixel, in one piece of memory. */
static dw_status view_new(int w, int h, dw_arena *arena, dw__view *out, dw_error *err) {
  size_t n = (size_t)w * (size_t)h, wide = (n + 15) / 16 * 16; /* every plane begins aligned */
  float *memory = dw_arena_take(arena, wide, 6 * sizeof *memory + sizeof(uint16_t) + 2);
  if (!memory) return dw_fail_memory(err, "the picture that is searched");
  *out = (dw__view){.arena = arena, .w = w, .h = h};
  for (int k = 0; k < 3; k++, memory += wide) out->lab[k] = memory;
  out->far = memory;
  out->plane = memory + wide;
  out->list = (uint32_t *)(void *)(memory + 2 * wide);
  out->mark = (uint16_t *)(void *)(memory + 3 * wide);
  out->on = (uint8_t *)(out->mark + wide);
  out->shade = out->on + wide;
  return DW_OK;
}

/* Linear red, green and blue in view->lab to what it is called. */
static void to_lab(dw__view *view, bool reduced) {
  for (int k = 0; k < 3 && !reduced; k++) soften(view->lab[k], view->w, view->h);
  dw_lab_from_linear_planes(view->lab, (size_t)view->w * (size_t)view->h);
}

dw_status dw__view_of_patch(const dw_patch *photo, dw_arena *arena, dw__view *out, dw_error *err) {
  int longest = photo->rect.w > photo->rect.h ? photo->rect.w : photo->rect.h,
      scale = (longest + VIEW_SIDE - 1) / VIEW_SIDE, step = dw_patch_step(photo);
  dw__view view;
  dw_status status = view_new(photo->rect.w / scale, photo->rect.h / scale, arena, &view, err);
  float *row = status == DW_OK ? dw_arena_take(arena, (size_t)view.w, 3 * sizeof *row) : NULL;
  if (status == DW_OK && !row) status = dw_fail_memory(err, "the picture that is searched");
  if (status != DW_OK) return status;
  view.unit = step * scale;
  view.origin[0] = photo->rect.x + step * (scale - 1) / 2.0;
  view.origin[1] = photo->rect.y + step * (scale - 1) / 2.0;
  for (int y = 0; y < view.h; y++) {
    reduce_row(photo, scale, y, view.w, row);
    for (size_t x = 0, to = (size_t)y * (size_t)view.w; x < (size_t)view.w; x++, to++)
      for (size_t k = 0; k < 3; k++) view.lab[k][to] = row[3 * x + k];
  }
  to_lab(&view, scale > 1);
  *out = view;
  return DW_OK;
}

dw_status dw__view_of_preview(const dw_preview *photo, dw_arena *arena, dw__view *out, dw_error *err) {
  float linear[256];
  dw__view view;
  dw_status status = view_new(photo->width, photo->height, arena, &view, err);
  if (status != DW_OK) return status;
  view.unit = 1 / photo->scale;
  view.origin[0] = view.origin[1] = .5 * view.unit - .5;
  for (int i = 0; i < 256; i++) linear[i] = (float)dw_srgb_decode(i / 255.0);
  const uint8_t *from = photo->rgb;
  for (size_t i = 0, n = (size_t)view.w * (size_t)view.h; i < n; i++, from += 3)
    for (int k = 0; k < 3; k++) view.lab[k][i] = linear[from[k]];
  to_lab(&view, photo->scale < 1);
  *out = view;
  return DW_OK;
}

int dw_bait_view_side(int width, int height) {
  int side = width > height ? width : height, halved = side;
  while (halved > VIEW_SIDE) halved /= 2;
  return side <= VIEW_SIDE || halved >= HALVED_LEAST ? halved : VIEW_SIDE;
}
