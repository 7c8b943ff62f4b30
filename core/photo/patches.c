#include "photo/patches.h"

#include "photo/orient.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

enum { PIXEL_BYTES_MAX = 16 };

typedef struct keep {
  dw_patch patch;
  uint8_t *code; /* the patch's, where codes are kept */
  dw_rect stored;
  dw__places places; /* in the whole rectangle */
  int wide;          /* of the whole rectangle, oriented */
} keep;

/* What the block begins with where codes are kept. */
typedef struct head {
  uint32_t given; /* not 0: the photo has such codes, and they follow */
  dw_code_light light;
} head;

struct dw__patches {
  const dw_photo *photo;
  keep *keeps;
  size_t n;
  int step;   /* of kept pixels */
  int reduce; /* of the decoding: 1, or 2 where each kept pixel is the mean of four */
  dw__span columns;
  dw__span *rows;
  size_t n_rows;
  head *head; /* NULL: light is kept */
  bool coded;
  size_t bytes; /* of kept pixels */
  float *line;  /* one row of one rectangle */
  uint8_t *clips, *few;
};
typedef dw__patches keeper;

static int max_int(int a, int b) {
  return a > b ? a : b;
}

static int min_int(int a, int b) {
  return a < b ? a : b;
}

static size_t pixels_of(const dw_patch *patch) {
  return (size_t)patch->rect.w * (size_t)patch->rect.h;
}

static size_t aligned(size_t bytes) {
  enum { ALIGN = 16 };
  return (bytes + ALIGN - 1) / ALIGN * ALIGN;
}

/* Codes, or light and clip flags, so that the next one's light is aligned again. */
static size_t bytes_of(const keeper *k, const dw_patch *patch) {
  return aligned(pixels_of(patch) * (k->coded ? 3 : 3 * sizeof(float) + 1));
}

/* A halved pixel stands for the stored ones 2 i and 2 i + 1 of a row: how far its middle lies from the one at
 * `stored`. */
static float halved_off(int stored, bool back) {
  return (stored % 2 != 0) == back ? .5f : -.5f;
}

/* Where the step is odd, middles lie to one side and the other by turns. */
static void center_find(const keeper *k, keep *one) {
  const dw_photo_info *info = &k->photo->info;
  if (k->reduce == 1 || k->step % 2) return;
  dw_rect first = dw__orient_to_stored(info->orientation, info->stored_width, info->stored_height,
                                       (dw_rect){one->patch.rect.x, one->patch.rect.y, 1, 1});
  const float off[2] = {halved_off(first.x, one->places.step_x < 0),
                        halved_off(first.y, one->places.step_y < 0)};
  bool swaps = dw__orient_swaps(info->orientation);
  one->patch.off[0] = off[swaps];
  one->patch.off[1] = off[!swaps];
}

static dw_status plan_keeps(keeper *k, const dw_rect *rects, dw_error *err) {
  const dw_photo *photo = k->photo;
  const dw_photo_info *info = &photo->info;
  k->columns = (dw__span){INT_MAX, 0};
  k->bytes = k->coded ? aligned(sizeof *k->head) : 0;
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
    center_find(k, one);
    one->wide = one->patch.rect.w;
    one->patch.step = k->step;
    one->patch.rect.w = (one->patch.rect.w + k->step - 1) / k->step;
    one->patch.rect.h = (one->patch.rect.h + k->step - 1) / k->step;
    k->bytes += bytes_of(k, &one->patch);
    if (k->bytes > photo->limits.max_bytes)
      return dw_fail(err, DW_TOO_LARGE, "The marked areas of %s need more than %zu MiB: mark smaller ones.",
                     photo->path, photo->limits.max_bytes >> 20);
  }
  k->line = malloc((size_t)widest * 3 * sizeof(float));
  k->clips = malloc((size_t)widest);
  k->few = malloc((size_t)widest * PIXEL_BYTES_MAX);
  return k->line && k->clips && k->few ? DW_OK : dw_fail_memory(err, "the marked areas");
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

/* Of thinned rectangles only the rows with kept pixels are decoded. */
static dw_status thin_rows(keeper *k, dw_error *err) {
  int first = INT_MAX, end = 0;
  for (size_t i = 0; i < k->n; i++) {
    first = min_int(first, k->keeps[i].stored.y);
    end = max_int(end, k->keeps[i].stored.y + k->keeps[i].stored.h);
  }
  dw__span *rows = calloc((size_t)k->photo->info.stored_height, sizeof *rows);
  if (!rows) return dw_fail_memory(err, "the marked areas");
  k->n_rows = 0;
  for (int y = first; y < end; y++)
    for (size_t i = 0; i < k->n; i++) {
      const keep *one = &k->keeps[i];
      if (y < one->stored.y || y >= one->stored.y + one->stored.h || !row_is_kept(k, one, y)) continue;
      rows[k->n_rows++] = (dw__span){y, y + 1};
      break;
    }
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

void dw__patches_place(dw__patches *k, void *memory) {
  char *at = memory;
  if (k->coded) {
    k->head = memory;
    at += aligned(sizeof *k->head);
  }
  for (size_t i = 0; i < k->n; at += bytes_of(k, &k->keeps[i++].patch)) {
    dw_patch *patch = &k->keeps[i].patch;
    if (k->coded) {
      patch->code = k->keeps[i].code = (uint8_t *)at;
      patch->light = &k->head->light;
    } else {
      patch->rgb = (float *)(void *)at;
      patch->clip = (uint8_t *)(patch->rgb + 3 * pixels_of(patch));
    }
  }
}

static void put_codes(uint8_t *to, const uint8_t *pixels, size_t n, ptrdiff_t way) {
  if (way == 1)
    memcpy(to, pixels, 3 * n);
  else
    for (size_t x = 0; x < n; x++, to += 3 * way) memcpy(to, pixels + 3 * x, 3);
}

/* n pixels of a row to their places, the first at `to`, each one `way` behind the one before. */
static void put(keeper *k, keep *one, const uint8_t *pixels, size_t n, ptrdiff_t to, ptrdiff_t way) {
  if (k->coded) {
    put_codes(one->code + 3 * to, pixels, n, way);
    return;
  }
  float *rgb = one->patch.rgb + 3 * to;
  uint8_t *clip = one->patch.clip + to;
  if (way == 1) {
    k->photo->format->linear(k->photo, pixels, n, rgb);
    k->photo->format->clip(k->photo, pixels, n, clip);
    return;
  }
  k->photo->format->linear(k->photo, pixels, n, k->line);
  k->photo->format->clip(k->photo, pixels, n, k->clips);
  for (size_t x = 0; x < n; x++, rgb += 3 * way, clip += way) {
    memcpy(rgb, k->line + 3 * x, 3 * sizeof(float));
    *clip = k->clips[x];
  }
}

static void keep_row(keeper *k, keep *one, int y, const uint8_t *pixels) {
  const dw__places *p = &one->places;
  pixels += (size_t)(one->stored.x - k->columns.first) * k->photo->format->pixel_bytes(k->photo);
  put(k, one, pixels, (size_t)one->stored.w, p->first + (y - one->stored.y) * p->step_y, p->step_x);
}

/* Of a row that is kept, the pixels whose places in the whole rectangle are multiples of the step. */
static void thin_row(keeper *k, keep *one, int y, const uint8_t *pixels) {
  const dw__places *p = &one->places;
  ptrdiff_t at = p->first + (y - one->stored.y) * p->step_y, row = at / one->wide, column = at % one->wide;
  bool is_row = p->step_x == 1 || p->step_x == -1, back = p->step_x < 0;
  int along = (int)(is_row ? column : row), over = along % k->step, wide = one->patch.rect.w;
  int skip = back ? over : (k->step - over) % k->step; /* before the first one */
  int x = one->stored.x + skip, end = one->stored.x + one->stored.w, reduce = k->reduce;
  size_t bytes = k->photo->format->pixel_bytes(k->photo), n = 0;
  const uint8_t *few = k->few;
  if (k->step == reduce) { /* each pixel that was decoded */
    few = pixels + (size_t)(x / reduce - k->columns.first) * bytes;
    n = x < end ? (size_t)((end - x + reduce - 1) / reduce) : 0;
  } else if (bytes == 3) /* nearly all photos: a copy of known size is no call */
    for (; x < end; x += k->step) memcpy(k->few + 3 * n++, pixels + 3 * (x / reduce - k->columns.first), 3);
  else
    for (; x < end; x += k->step)
      memcpy(k->few + n++ * bytes, pixels + (size_t)(x / reduce - k->columns.first) * bytes, bytes);
  along += back ? -skip : skip;
  *(is_row ? &column : &row) = along;
  put(k, one, few, n, row / k->step * wide + column / k->step, (is_row ? 1 : wide) * (back ? -1 : 1));
}

static void take_row(void *ctx, int row, const void *samples) {
  keeper *k = ctx;
  for (int y = row * k->reduce; y < (row + 1) * k->reduce; y++)
    for (size_t i = 0; i < k->n; i++) {
      keep *one = &k->keeps[i];
      if (y < one->stored.y || y >= one->stored.y + one->stored.h) continue;
      if (k->step == 1)
        keep_row(k, one, y, samples);
      else if (row_is_kept(k, one, y))
        thin_row(k, one, y, samples);
    }
}

/* In pixels of half the size. */
static dw__span halved(dw__span s) {
  return (dw__span){s.first / 2, (s.end + 1) / 2};
}

/* Which rows and columns are decoded. Of halved ones all between: libjpeg-turbo 2.1 gives others than it would without
 * where single ones are skipped. */
static dw_status plan_decoding(keeper *k, dw_error *err) {
  if (k->reduce > 1) {
    k->columns = halved(k->columns);
    for (size_t i = 0; i < k->n; i++) k->rows[i] = halved(k->rows[i]);
  }
  if (k->step > 1 && k->reduce == 1) return thin_rows(k, err);
  merge_rows(k);
  return DW_OK;
}

/* False where the photo has other codes: nothing is decoded then. */
static bool head_fill(keeper *k, const dw_photo *photo) {
  k->head->given = photo->profile && dw_profile_code_light(photo->profile, &k->head->light);
  return k->head->given;
}

dw_status dw__patches_fill(dw__patches *k, dw_photo *photo, dw_error *err) {
  if (k->coded && !head_fill(k, photo)) return DW_OK;
  dw_status status = plan_decoding(k, err);
  if (status != DW_OK) return status;
  dw__job job = {.rows = k->rows,
                 .n_rows = k->n_rows,
                 .columns = k->columns,
                 .reduce = k->reduce,
                 .max_bytes = photo->limits.max_bytes - k->bytes,
                 .row = take_row,
                 .ctx = k};
  return photo->format->decode(photo, &job, err);
}

/* Whether its decoder halves a photo: known on both sides. */
static bool can_halve(const dw_photo *photo) {
  return photo->format ? photo->format->max_reduce > 1 : strcmp(photo->info.format, "JPEG") == 0;
}

dw_status dw__patches_new(const dw_photo *photo, const dw_rect *rects, size_t n, dw__thinning thin,
                          dw__patches **out, dw_error *err) {
  keeper *k = calloc(1, sizeof *k);
  if (!k) return dw_fail_memory(err, "the marked areas");
  *k = (keeper){.photo = photo, .n = n, .step = thin.step, .coded = thin.coded};
  k->reduce = thin.halved && thin.step > 1 && can_halve(photo) ? 2 : 1;
  k->keeps = calloc(n, sizeof *k->keeps);
  k->rows = calloc(n, sizeof *k->rows);
  dw_status status =
      k->keeps && k->rows ? plan_keeps(k, rects, err) : dw_fail_memory(err, "the marked areas");
  if (status == DW_OK)
    *out = k;
  else
    dw__patches_free(k);
  return status;
}

void dw__patches_free(dw__patches *k) {
  if (!k) return;
  free(k->keeps);
  free(k->rows);
  free(k->line);
  free(k->clips);
  free(k->few);
  free(k);
}

size_t dw__patches_bytes(const dw__patches *k) {
  return k->bytes;
}

bool dw__patches_filled(const dw__patches *k) {
  return !k->coded || k->head->given;
}

const dw_patch *dw__patches_get(const dw__patches *k, size_t i) {
  return &k->keeps[i].patch;
}
