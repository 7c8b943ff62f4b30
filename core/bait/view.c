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

/* 1, 2, 1 along a line; beyond its ends it goes on as it is there. */
static void soften_line(const float *in, size_t n, float *out) {
  out[0] = .75f * in[0] + .25f * in[n > 1];
  for (size_t i = 1; i + 1 < n; i++) out[i] = .25f * in[i - 1] + .5f * in[i] + .25f * in[i + 1];
  if (n > 1) out[n - 1] = .25f * in[n - 2] + .75f * in[n - 1];
}

void dw__view_soften(const dw__view *view, const float *from, float *to) {
  size_t w = (size_t)view->w, h = (size_t)view->h;
  for (size_t y = 0; y < h; y++) soften_line(from + y * w, w, to + y * w);
  /* cppcheck-suppress invalidPointerCast ; room that is written before it is read, whatever it held */
  float *before = (float *)view->list; /* the row above, as it was */
  memcpy(before, to, w * sizeof *before);
  for (size_t y = 0; y < h; y++) {
    float *row = to + y * w;
    const float *behind = y + 1 < h ? row + w : row;
    for (size_t x = 0; x < w; x++) {
      float here = row[x];
      row[x] = .25f * before[x] + .5f * here + .25f * behind[x];
      before[x] = here;
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

/* Linear red, green and blue in view->lab to what it is called.  A photo that is not reduced keeps the noise of single
 * pixels. */
static void to_lab(dw__view *view, bool reduced) {
  size_t n = (size_t)view->w * (size_t)view->h;
  for (int k = 0; k < 3 && !reduced; k++) {
    memcpy(view->plane, view->lab[k], n * sizeof *view->plane);
    dw__view_soften(view, view->plane, view->lab[k]);
  }
  dw_lab_from_linear_planes(view->lab, n);
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
