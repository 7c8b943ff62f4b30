/* Filling a spool, row by row. */
#include "photo/spool.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define ROOT_MOST 32767.0f
const char dw__spool_mark[16] = "dropwise spool1";

size_t dw_spool_bytes(const dw_photo_info *info) {
  return DW__SPOOL_HEAD_BYTES +
         (size_t)info->stored_width * (size_t)info->stored_height * sizeof(dw__spooled);
}

typedef struct filler {
  const dw_photo *photo;
  dw__spooled *pixels;
  float *line;
  uint8_t *clips;
} filler;

static int16_t root_of(float light) {
  float root = DW__ROOT_STEPS * sqrtf(fabsf(light));
  if (!(root < ROOT_MOST)) root = ROOT_MOST;
  return (int16_t)(light < 0 ? -(root + 0.5f) : root + 0.5f);
}

static void fill_row(void *ctx, int y, const void *samples) {
  filler *f = ctx;
  size_t n = (size_t)f->photo->info.stored_width;
  dw__spooled *to = f->pixels + (size_t)y * n;
  f->photo->format->linear(f->photo, samples, n, f->line);
  f->photo->format->clip(f->photo, samples, n, f->clips);
  for (size_t x = 0; x < n; x++) {
    for (size_t c = 0; c < 3; c++) to[x].root[c] = root_of(f->line[3 * x + c]);
    to[x].clip = f->clips[x];
  }
}

dw_status dw__spool_fill(dw_photo *photo, void *memory, dw_error *err) {
  const dw_photo_info *info = &photo->info;
  size_t n = (size_t)info->stored_width;
  filler f = {.photo = photo, .pixels = (dw__spooled *)(void *)((char *)memory + DW__SPOOL_HEAD_BYTES)};
  f.line = malloc(n * 3 * sizeof *f.line);
  f.clips = malloc(n);
  dw__span rows = {0, info->stored_height};
  dw__job job = {.rows = &rows,
                 .n_rows = 1,
                 .columns = {0, info->stored_width},
                 .reduce = 1,
                 .max_bytes = photo->limits.max_bytes,
                 .row = fill_row,
                 .ctx = &f};
  dw_status status = f.line && f.clips ? DW_OK : dw_fail_memory(err, "decoding the photo");
  if (status == DW_OK) status = photo->format->decode(photo, &job, err);
  if (status == DW_OK) {
    dw__spool_head *start = memory;
    start->info = *info;
    memcpy(start->mark, dw__spool_mark, sizeof dw__spool_mark);
  }
  free(f.line);
  free(f.clips);
  return status;
}
