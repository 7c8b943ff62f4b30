#include "photo/preview.h"

#include "photo/boxes.h"
#include "photo/orient.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ENCODE_STEPS = 4096, GRAY_BYTE = 128 };

/* Linear 0..1 to the nearest of 256 sRGB codes: the code at the begin of each step, then on to the last code
 * whose threshold is not above the value. */
typedef struct encoder {
  float threshold[256];
  uint8_t start[ENCODE_STEPS + 1];
} encoder;

typedef struct viewer {
  dw_photo *photo;
  const dw__view *view;
  uint8_t *rgb;
  dw__places places;
  dw__boxes boxes;
  dw_rect reduced; /* the part as the decoder delivers it, stored way round */
  int reduce;
  int stored_w; /* of the preview, stored way round */
  int stored_h;
  bool as_it_is; /* the decoder delivers the preview's own pixels */
  float *line;
  encoder encode;
} viewer;

static uint8_t code_from(const encoder *e, float linear, unsigned code) {
  while (code < 255 && linear >= e->threshold[code + 1]) code++;
  return (uint8_t)code;
}

static void encoder_make(encoder *e) {
  e->threshold[0] = 0;
  for (int i = 1; i < 256; i++) e->threshold[i] = (float)dw_srgb_decode((i - 0.5) / 255);
  unsigned code = 0;
  for (int i = 0; i <= ENCODE_STEPS; i++) e->start[i] = code_from(e, (float)i / ENCODE_STEPS, code);
}

static uint8_t encode(const encoder *e, float linear) {
  if (!(linear > 0)) return 0;
  if (linear >= 1) return 255;
  return code_from(e, linear, e->start[(int)(linear * ENCODE_STEPS)]);
}

static void take_done(void *ctx, int y, const float *row) {
  viewer *v = ctx;
  ptrdiff_t at = v->places.first + y * v->places.step_y;
  for (int x = 0; x < v->stored_w; x++, at += v->places.step_x, row += 3)
    for (int c = 0; c < 3; c++) v->rgb[3 * at + c] = encode(&v->encode, row[c]);
}

/* A row that is the picture's already. */
static void take_screen(viewer *v, int y, const uint8_t *samples) {
  ptrdiff_t at = v->places.first + y * v->places.step_y;
  if (v->places.step_x == 1) {
    memcpy(v->rgb + 3 * at, samples, 3 * (size_t)v->stored_w);
    return;
  }
  for (int x = 0; x < v->stored_w; x++, at += v->places.step_x, samples += 3)
    memcpy(v->rgb + 3 * at, samples, 3);
}

static void take_row(void *ctx, int y, const void *samples) {
  viewer *v = ctx;
  if (v->as_it_is) {
    take_screen(v, y - v->reduced.y, samples);
    return;
  }
  v->photo->format->linear(v->photo, samples, (size_t)v->reduced.w, v->line);
  dw__boxes_row(&v->boxes, y - v->reduced.y, v->line, take_done, v);
}

static int scaled(int edge, double scale) {
  int n = (int)lround(edge * scale);
  return n < 1 ? 1 : n;
}

/* The decoder may reduce by powers of 2 as long as it stays above the size wanted; a part is taken as it is.
 */
static void plan_reduction(viewer *v, bool whole) {
  const dw_photo_info *info = &v->photo->info;
  dw_rect stored =
      dw__orient_to_stored(info->orientation, info->stored_width, info->stored_height, v->view->part);
  v->reduce = 1;
  while (whole && v->reduce < v->photo->format->max_reduce && stored.w / (2 * v->reduce) >= v->stored_w &&
         stored.h / (2 * v->reduce) >= v->stored_h)
    v->reduce *= 2;
  v->reduced = (dw_rect){stored.x, stored.y, (stored.w + v->reduce - 1) / v->reduce,
                         (stored.h + v->reduce - 1) / v->reduce};
  v->as_it_is = v->reduced.w == v->stored_w && v->reduced.h == v->stored_h && v->photo->profile &&
                dw_profile_is_screen(v->photo->profile);
}

static void plan_sizes(viewer *v) {
  const dw_photo_info *info = &v->photo->info;
  const dw__view *view = v->view;
  bool swap = dw__orient_swaps(info->orientation);
  v->stored_w = swap ? view->height : view->width;
  v->stored_h = swap ? view->width : view->height;
  v->places = dw__orient_places(info->orientation, v->stored_w, v->stored_h);
  plan_reduction(v, view->part.w == info->width && view->part.h == info->height);
}

static dw_status take_memory(viewer *v, dw_error *err) {
  v->line = malloc((size_t)v->reduced.w * 3 * sizeof *v->line);
  bool boxes = dw__boxes_new(&v->boxes, v->reduced.w, v->reduced.h, v->stored_w, v->stored_h);
  return v->line && boxes ? DW_OK : dw_fail_memory(err, "a preview picture");
}

static dw_status decode_view(viewer *v, dw_error *err) {
  dw__span rows = {v->reduced.y, v->reduced.y + v->reduced.h};
  dw__job job = {.rows = &rows,
                 .n_rows = 1,
                 .columns = {v->reduced.x, v->reduced.x + v->reduced.w},
                 .reduce = v->reduce,
                 .keep = v->view->keep,
                 .forgiving = true,
                 .max_bytes = v->photo->limits.max_bytes,
                 .row = take_row,
                 .ctx = v};
  return v->photo->format->decode(v->photo, &job, err);
}

dw_status dw__view_plan(const dw_photo *photo, dw_rect part, int max_side, dw__view *out, dw_error *err) {
  if (max_side < 1 || max_side > DW__VIEW_SIDE_MAX)
    return dw_fail(err, DW_BAD_INPUT, "A preview of %d pixels was asked for: use 1 to %d.", max_side,
                   DW__VIEW_SIDE_MAX);
  dw_status status = dw__photo_cut(photo, part, &out->part, err);
  if (status != DW_OK) return status;
  int longest = out->part.w > out->part.h ? out->part.w : out->part.h;
  out->scale = longest > max_side ? (double)max_side / longest : 1;
  out->width = scaled(out->part.w, out->scale);
  out->height = scaled(out->part.h, out->scale);
  return DW_OK;
}

size_t dw__view_bytes(const dw__view *view) {
  return (size_t)view->width * (size_t)view->height * 3;
}

dw_status dw__view_fill(dw_photo *photo, const dw__view *view, uint8_t *rgb, dw_error *err) {
  viewer *v = calloc(1, sizeof *v);
  if (!v) return dw_fail_memory(err, "a preview picture");
  v->photo = photo;
  v->view = view;
  v->rgb = rgb;
  plan_sizes(v);
  encoder_make(&v->encode);
  memset(rgb, GRAY_BYTE, dw__view_bytes(view)); /* what a damaged file does not fill stays gray */
  dw_status status = take_memory(v, err);
  if (status == DW_OK) status = decode_view(v, err);
  dw__boxes_free(&v->boxes);
  free(v->line);
  free(v);
  return status;
}
