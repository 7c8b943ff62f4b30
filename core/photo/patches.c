/* The pixels of marked rectangles: one decoding, each wanted row turned linear and put where it belongs. */
#include "photo/decode.h"
#include "photo/orient.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

typedef struct keep {
  pt_patch patch;
  pt_rect stored;
  pt__places places;
} keep;

typedef struct keeper {
  const pt_photo *photo;
  keep *keeps;
  size_t n;
  pt__span columns;
  pt__span *rows;
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

static pt_status plan_keeps(keeper *k, const pt_rect *rects, pt_error *err) {
  const pt_photo *photo = k->photo;
  const pt_photo_info *info = &photo->info;
  k->columns = (pt__span){INT_MAX, 0};
  int widest = 0;
  for (size_t i = 0; i < k->n; i++) {
    keep *one = &k->keeps[i];
    pt_status status = pt__photo_cut(photo, rects[i], &one->patch.rect, err);
    if (status != PT_OK) return status;
    one->stored =
        pt__orient_to_stored(info->orientation, info->stored_width, info->stored_height, one->patch.rect);
    one->places = pt__orient_places(info->orientation, one->stored.w, one->stored.h);
    k->columns.first = min_int(k->columns.first, one->stored.x);
    k->columns.end = max_int(k->columns.end, one->stored.x + one->stored.w);
    k->rows[i] = (pt__span){one->stored.y, one->stored.y + one->stored.h};
    widest = max_int(widest, one->stored.w);
    k->bytes += (size_t)one->stored.w * (size_t)one->stored.h * (3 * sizeof(float) + 1);
    if (k->bytes > photo->limits.max_bytes)
      return pt_fail(err, PT_TOO_LARGE, "The marked areas of %s need more than %zu MiB: mark smaller ones.",
                     photo->path, photo->limits.max_bytes >> 20);
  }
  k->line = malloc((size_t)widest * 3 * sizeof(float));
  k->clips = malloc((size_t)widest);
  return k->line && k->clips ? PT_OK : pt_fail_memory(err, "the marked areas");
}

static int by_first(const void *a, const void *b) {
  const pt__span *p = a, *q = b;
  return (p->first > q->first) - (p->first < q->first);
}

/* Rows that rectangles share or that touch become one span. */
static void merge_rows(keeper *k) {
  qsort(k->rows, k->n, sizeof *k->rows, by_first);
  k->n_rows = 1;
  for (size_t i = 1; i < k->n; i++) {
    pt__span *last = &k->rows[k->n_rows - 1];
    if (k->rows[i].first <= last->end)
      last->end = max_int(last->end, k->rows[i].end);
    else
      k->rows[k->n_rows++] = k->rows[i];
  }
}

static pt_status take_pixels(keeper *k, pt_arena *arena, pt_error *err) {
  for (size_t i = 0; i < k->n; i++) {
    pt_patch *patch = &k->keeps[i].patch;
    size_t n = (size_t)patch->rect.w * (size_t)patch->rect.h;
    patch->rgb = pt_arena_take(arena, n, 3 * sizeof(float));
    patch->clip = pt_arena_take(arena, n, 1);
    if (!patch->rgb || !patch->clip) return pt_fail_memory(err, "the marked areas");
  }
  return PT_OK;
}

static void keep_row(keeper *k, keep *one, int y, const uint8_t *pixels) {
  const pt__places *p = &one->places;
  size_t n = (size_t)one->stored.w;
  ptrdiff_t at = p->first + (y - one->stored.y) * p->step_y;
  float *rgb = one->patch.rgb + 3 * at;
  uint8_t *clip = one->patch.clip + at;
  if (p->step_x == 1) {
    pt__linear_row(k->photo, pixels, n, rgb);
    pt__clip_row(k->photo, pixels, n, clip);
    return;
  }
  pt__linear_row(k->photo, pixels, n, k->line);
  pt__clip_row(k->photo, pixels, n, k->clips);
  for (size_t x = 0; x < n; x++, rgb += 3 * p->step_x, clip += p->step_x) {
    memcpy(rgb, k->line + 3 * x, 3 * sizeof(float));
    *clip = k->clips[x];
  }
}

static void take_row(void *ctx, int y, const void *samples) {
  keeper *k = ctx;
  for (size_t i = 0; i < k->n; i++) {
    keep *one = &k->keeps[i];
    if (y < one->stored.y || y >= one->stored.y + one->stored.h) continue;
    size_t skip = (size_t)(one->stored.x - k->columns.first) * pt__photo_pixel_bytes(k->photo);
    keep_row(k, one, y, (const uint8_t *)samples + skip);
  }
}

static pt_status decode_keeps(keeper *k, pt_photo *photo, pt_error *err) {
  merge_rows(k);
  pt__job job = {.rows = k->rows,
                 .n_rows = k->n_rows,
                 .columns = k->columns,
                 .reduce = 1,
                 .max_bytes = photo->limits.max_bytes - k->bytes,
                 .row = take_row,
                 .ctx = k};
  return photo->format->decode(photo, &job, err);
}

pt_status pt_photo_patches(pt_photo *photo, const pt_rect *rects, size_t n, pt_arena *arena, pt_patch *out,
                           pt_error *err) {
  if (n == 0) return PT_OK;
  pt_status status = PT_OK;
  keeper k = {.photo = photo, .n = n};
  k.keeps = calloc(n, sizeof *k.keeps);
  k.rows = calloc(n, sizeof *k.rows);
  if (!k.keeps || !k.rows) status = pt_fail_memory(err, "the marked areas");
  if (status == PT_OK) status = plan_keeps(&k, rects, err);
  if (status == PT_OK) status = take_pixels(&k, arena, err);
  if (status == PT_OK) status = decode_keeps(&k, photo, err);
  if (status == PT_OK)
    for (size_t i = 0; i < n; i++) out[i] = k.keeps[i].patch;
  free(k.keeps);
  free(k.rows);
  free(k.line);
  free(k.clips);
  return status;
}
