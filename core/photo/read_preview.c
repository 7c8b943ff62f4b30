/* Previews, from a photo of this process or by its decoder. */
#include "photo/decoder.h"
#include "photo/preview.h"

#include <stdlib.h>
#include <unistd.h>

/* What is asked for of a photo. */
typedef struct wish {
  dw_rect part;
  int max_side;
  bool keep; /* parts are asked for next, halved */
} wish;

static dw_status ask(dw_photo *photo, const wish *w, size_t bytes, int fd, dw_error *err) {
  dw__ask *what = calloc(1, sizeof *what);
  if (!what) return dw_fail_memory(err, "a preview picture");
  what->kind = DW__ASK_PREVIEW;
  what->part = w->part;
  what->max_side = w->max_side;
  what->keep = w->keep;
  what->bytes = bytes;
  dw_status status = dw__decoder_ask(photo, what, fd, err);
  free(what);
  return status;
}

static dw_status view_apart(dw_photo *photo, const wish *w, size_t bytes, dw_arena *arena, uint8_t **out,
                            dw_error *err) {
  int fd;
  void *memory;
  dw_status status = dw__memory_new(bytes, &fd, err);
  if (status != DW_OK) return status;
  status = ask(photo, w, bytes, fd, err);
  if (status == DW_OK) status = dw__memory_take(photo, fd, bytes, arena, &memory, err);
  if (status == DW_OK) *out = memory;
  close(fd);
  return status;
}

static dw_status view_here(dw_photo *photo, const dw__view *view, dw_arena *arena, uint8_t **out,
                           dw_error *err) {
  uint8_t *rgb = dw_arena_take(arena, dw__view_bytes(view), 1);
  if (!rgb) return dw_fail_memory(err, "a preview picture");
  *out = rgb;
  return dw__view_fill(photo, view, rgb, err);
}

static dw_status view_read(dw_photo *photo, const wish *w, dw_arena *arena, dw_preview *out, dw_error *err) {
  dw__view view;
  uint8_t *rgb = NULL;
  dw_status status = dw__view_plan(photo, w->part, w->max_side, &view, err);
  view.keep = w->keep;
  if (status == DW_OK)
    status = photo->format ? view_here(photo, &view, arena, &rgb, err)
                           : view_apart(photo, w, dw__view_bytes(&view), arena, &rgb, err);
  if (status == DW_OK) *out = (dw_preview){view.width, view.height, view.scale, rgb};
  return status;
}

dw_status dw_photo_part(dw_photo *photo, dw_rect part, int max_side, dw_arena *arena, dw_preview *out,
                        dw_error *err) {
  return view_read(photo, &(wish){.part = part, .max_side = max_side}, arena, out, err);
}

static dw_rect whole_of(const dw_photo *photo) {
  return (dw_rect){0, 0, photo->info.width, photo->info.height};
}

dw_status dw_photo_preview(dw_photo *photo, int max_side, dw_arena *arena, dw_preview *out, dw_error *err) {
  return dw_photo_part(photo, whole_of(photo), max_side, arena, out, err);
}

dw_status dw_photo_preview_halved(dw_photo *photo, int max_side, dw_arena *arena, dw_preview *out,
                                  dw_error *err) {
  const wish w = {.part = whole_of(photo), .max_side = max_side, .keep = true};
  return view_read(photo, &w, arena, out, err);
}
