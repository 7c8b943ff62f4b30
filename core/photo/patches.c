/* The pixels of marked rectangles: one decoding, each wanted row turned linear and put where it belongs. */
#include "photo/decode.h"
#include "photo/orient.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

typedef struct keep {
  dw_patch patch;
  dw_rect stored;
  dw__places places; /* in the whole rectangle */
  int wide;          /* of the whole rectangle, oriented */
} keep;

typedef struct keeper {
  const dw_photo *photo;
  keep *keeps;
  size_t n;
  int step; /* of kept pixels */
  dw__span columns;
  dw__span *rows;
  size_t n_rows;
  size_t bytes; /* of kept pixels */
  float *line;  /* one row of one rectangle */
  uint8_t *clips;
} keeper;

static int max_int(int a, int b) {
  return a > b ? a : b;
}

static int min_int(int a, int b) {
  return a < b ? a : b;
}

static dw_status plan_keeps(keeper *k, const dw_rect *rects, dw_error *err) {
  const dw_photo *photo = k->photo;
  const dw_photo_info *info = &photo->info;
  k->columns = (dw__span){INT_MAX, 0};
  int widest = 0;
  for (size_t i = 0; i < k->n; i++) {
    keep *one = &k->keeps[i];
    dw_status status = dw__photo_cut(photo, rects[i], &one->patch.rect, err);
    if (status != DW_OK) return status;
    one->stored =
        dw__orient_to_stored(info->orientation, info->stored_width, info->stored_height, one->patch.rect);
    one->places = dw__orient_places(info->orientation, one->stored.w, one->stored.h);
    k->columns.first = min_int(k->columns.first, one->stored.x);
    k->columns.end = max_int(k->columns.end, one->stored.x + one->stored.w);
    k->rows[i] = (dw__span){one->stored.y, one->stored.y + one->stored.h};
    widest = max_int(widest, one->stored.w);
    one->wide = one->patch.rect.w;
    one->patch.step = k->step;
    one->patch.rect.w = (one->patch.rect.w + k->step - 1) / k->step;
    one->patch.rect.h = (one->patch.rect.h + k->step - 1) / k->step;
    k->bytes += (size_t)one->patch.rect.w * (size_t)one->patch.rect.h * (3 * sizeof(float) + 1);
    if (k->bytes > photo->limits.max_bytes)
      return dw_fail(err, DW_TOO_LARGE, "The marked areas of %s need more than %zu MiB: mark smaller ones.",
                     photo->path, photo->limits.max_bytes >> 20);
  }
  k->line = malloc((size_t)widest * 3 * sizeof(float));
  k->clips = malloc((size_t)widest);
  return k->line && k->clips ? DW_OK : dw_fail_memory(err, "the marked areas");
}

static int by_first(const void *a, const void *b) {
  const dw__span *p = a, *q = b;
  return (p->first > q->first) - (p->first < q->first);
}

/* A stored row is a row or a column of the photo: whether any of its pixels is kept. */
static bool row_is_kept(const keeper *k, const keep *one, int y) {
  ptrdiff_t at = one->places.first + (y - one->stored.y) * one->places.step_y;
  bool is_row = one->places.step_x == 1 || one->places.step_x == -1;
  return (is_row ? at / one->wide : at % one->wide) % k->step == 0;
}

/* Of a thinned rectangle only the rows with kept pixels are decoded. */
static dw_status thin_rows(keeper *k, dw_error *err) {
  const keep *one = &k->keeps[0];
  dw__span *rows = calloc((size_t)one->stored.h, sizeof *rows);
  if (!rows) return dw_fail_memory(err, "the marked areas");
  k->n_rows = 0;
  for (int y = one->stored.y; y < one->stored.y + one->stored.h; y++)
    if (row_is_kept(k, one, y)) rows[k->n_rows++] = (dw__span){y, y + 1};
  free(k->rows);
  k->rows = rows;
  return DW_OK;
}

/* Rows that rectangles share or that touch become one span. */
static void merge_rows(keeper *k) {
  qsort(k->rows, k->n, sizeof *k->rows, by_first);
  k->n_rows = 1;
  for (size_t i = 1; i < k->n; i++) {
    dw__span *last = &k->rows[k->n_rows - 1];
    if (k->rows[i].first <= last->end)
      last->end = max_int(last->end, k->rows[i].end);
    else
      k->rows[k->n_rows++] = k->rows[i];
  }
}

static dw_status take_pixels(keeper *k, dw_arena *arena, dw_error *err) {
  for (size_t i = 0; i < k->n; i++) {
    dw_patch *patch = &k->keeps[i].patch;
    size_t n = (size_t)patch->rect.w * (size_t)patch->rect.h;
    patch->rgb = dw_arena_take(arena, n, 3 * sizeof(float));
    patch->clip = dw_arena_take(arena, n, 1);
    if (!patch->rgb || !patch->clip) return dw_fail_memory(err, "the marked areas");
  }
  return DW_OK;
}

static void keep_row(keeper *k, keep *one, int y, const uint8_t *pixels) {
  const dw__places *p = &one->places;
  size_t n = (size_t)one->stored.w;
  ptrdiff_t at = p->first + (y - one->stored.y) * p->step_y;
  float *rgb = one->patch.rgb + 3 * at;
  uint8_t *clip = one->patch.clip + at;
  if (p->step_x == 1) {
    k->photo->format->linear(k->photo, pixels, n, rgb);
    k->photo->format->clip(k->photo, pixels, n, clip);
    return;
  }
  k->photo->format->linear(k->photo, pixels, n, k->line);
  k->photo->format->clip(k->photo, pixels, n, k->clips);
  for (size_t x = 0; x < n; x++, rgb += 3 * p->step_x, clip += p->step_x) {
    memcpy(rgb, k->line + 3 * x, 3 * sizeof(float));
    *clip = k->clips[x];
  }
}

/* The pixels of a row whose places in the whole rectangle are multiples of the step, both ways. */
static void thin_row(keeper *k, keep *one, int y, const uint8_t *pixels) {
  ptrdiff_t at = one->places.first + (y - one->stored.y) * one->places.step_y;
  k->photo->format->linear(k->photo, pixels, (size_t)one->stored.w, k->line);
  k->photo->format->clip(k->photo, pixels, (size_t)one->stored.w, k->clips);
  for (int i = 0; i < one->stored.w; i++, at += one->places.step_x) {
    int column = (int)(at % one->wide), row = (int)(at / one->wide);
    if (column % k->step || row % k->step) continue;
    size_t to = (size_t)(row / k->step) * (size_t)one->patch.rect.w + (size_t)(column / k->step);
    memcpy(one->patch.rgb + 3 * to, k->line + 3 * i, 3 * sizeof(float));
    one->patch.clip[to] = k->clips[i];
  }
}

static void take_row(void *ctx, int y, const void *samples) {
  keeper *k = ctx;
  for (size_t i = 0; i < k->n; i++) {
    keep *one = &k->keeps[i];
    if (y < one->stored.y || y >= one->stored.y + one->stored.h) continue;
    size_t skip = (size_t)(one->stored.x - k->columns.first) * k->photo->format->pixel_bytes(k->photo);
    if (k->step == 1)
      keep_row(k, one, y, (const uint8_t *)samples + skip);
    else
      thin_row(k, one, y, (const uint8_t *)samples + skip);
  }
}

static dw_status decode_keeps(keeper *k, dw_photo *photo, dw_error *err) {
  if (k->step > 1) {
    dw_status status = thin_rows(k, err);
    if (status != DW_OK) return status;
  } else {
    merge_rows(k);
  }
  dw__job job = {.rows = k->rows,
                 .n_rows = k->n_rows,
                 .columns = k->columns,
                 .reduce = 1,
                 .max_bytes = photo->limits.max_bytes - k->bytes,
                 .row = take_row,
                 .ctx = k};
  return photo->format->decode(photo, &job, err);
}

static dw_status take_patches(dw_photo *photo, const dw_rect *rects, size_t n, int step, dw_arena *arena,
                              dw_patch *out, dw_error *err) {
  dw_status status = DW_OK;
  keeper k = {.photo = photo, .n = n, .step = step};
  k.keeps = calloc(n, sizeof *k.keeps);
  k.rows = calloc(n, sizeof *k.rows);
  if (!k.keeps || !k.rows) status = dw_fail_memory(err, "the marked areas");
  if (status == DW_OK) status = plan_keeps(&k, rects, err);
  if (status == DW_OK) status = take_pixels(&k, arena, err);
  if (status == DW_OK) status = decode_keeps(&k, photo, err);
  if (status == DW_OK)
    for (size_t i = 0; i < n; i++) out[i] = k.keeps[i].patch;
  free(k.keeps);
  free(k.rows);
  free(k.line);
  free(k.clips);
  return status;
}

dw_status dw_photo_patches(dw_photo *photo, const dw_rect *rects, size_t n, dw_arena *arena, dw_patch *out,
                           dw_error *err) {
  return n ? take_patches(photo, rects, n, 1, arena, out, err) : DW_OK;
}

dw_status dw_photo_patch_thinned(dw_photo *photo, dw_rect rect, int step, dw_arena *arena, dw_patch *out,
                                 dw_error *err) {
  if (step < 1) return dw_fail(err, DW_BAD_INPUT, "A photo can't be thinned by a step of %d.", step);
  return take_patches(photo, &rect, 1, step, arena, out, err);
}
