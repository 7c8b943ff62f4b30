#include "bait/view.h"

#include <string.h>

enum { VIEW_SIDE = 1300 };

/* The mean of linear light over one row of squares. */
static void reduce_row(const dw__view *view, int row, float *out) {
  const dw_patch *photo = view->photo;
  size_t wide = (size_t)photo->rect.w, scale = (size_t)view->scale;
  float part = 1 / (float)(view->scale * view->scale);
  memset(out, 0, (size_t)view->w * 3 * sizeof *out);
  for (size_t y = 0; y < scale; y++) {
    const float *from = photo->rgb + 3 * wide * ((size_t)row * scale + y);
    for (size_t x = 0; x < (size_t)view->w; x++)
      for (size_t i = 0; i < scale; i++, from += 3)
        for (size_t k = 0; k < 3; k++) out[3 * x + k] += part * from[k];
  }
}

/* A photo that is not reduced keeps the noise of single pixels: 1, 2, 1 along each row, then down. */
static void soften(float *rgb, int w, int h) {
  for (int pass = 0; pass < 2; pass++) {
    int lines = pass ? w : h, n = pass ? h : w;
    size_t step = 3 * (pass ? (size_t)w : 1), next = 3 * (pass ? 1 : (size_t)w);
    for (int line = 0; line < lines; line++)
      for (size_t k = 0; k < 3; k++) {
        float *at = rgb + (size_t)line * next + k, before = at[0];
        for (int i = 0; i < n; i++, at += step) {
          float here = *at, behind = i + 1 < n ? at[step] : here;
          *at = .25f * before + .5f * here + .25f * behind;
          before = here;
        }
      }
  }
}

dw_status dw__view_make(const dw_patch *photo, dw_arena *arena, dw__view *out, dw_error *err) {
  int longest = photo->rect.w > photo->rect.h ? photo->rect.w : photo->rect.h;
  dw__view view = {.photo = photo, .arena = arena, .scale = (longest + VIEW_SIDE - 1) / VIEW_SIDE};
  view.w = photo->rect.w / view.scale;
  view.h = photo->rect.h / view.scale;
  size_t n = (size_t)view.w * (size_t)view.h;
  view.lab = dw_arena_take(arena, n, 3 * sizeof *view.lab);
  view.board = dw_arena_take(arena, n, 3 * sizeof *view.board);
  view.far = dw_arena_take(arena, n, sizeof *view.far);
  view.on = dw_arena_take(arena, n, sizeof *view.on);
  view.shade = dw_arena_take(arena, n, sizeof *view.shade);
  if (!view.lab || !view.board || !view.far || !view.on || !view.shade)
    return dw_fail_memory(err, "the picture that is searched");
  for (int y = 0; y < view.h; y++) reduce_row(&view, y, view.lab + 3 * (size_t)y * (size_t)view.w);
  if (view.scale == 1) soften(view.lab, view.w, view.h);
  dw_xyz_from_linear_rows(view.lab, n, view.lab);
  dw_lab_from_xyz_rows(view.lab, n, view.lab);
  *out = view;
  return DW_OK;
}
