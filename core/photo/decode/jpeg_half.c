/* A JPEG decoded once at half its size and kept, for whoever asks for all of it and then for parts.
 *
 * Its codes take most of a reduced decoding, and would be read anew for each. Reduced further, a pixel is the mean,
 * of coded values, of those that it covers. */
#include "photo/decode/jpeg_half.h"

#include "photo/decode.h"

#include <stdlib.h>
#include <string.h>

/* Kept up to so much, which the seal leaves beside what decoding may take, and to this share of that. */
#define BYTES_MAX ((size_t)64 << 20)
enum { SHARE_OF_ALL = 4 };

struct dw__half {
  int w, h, rows;  /* rows  delivered so far */
  size_t bytes;    /* of a pixel */
  dw_arena *arena; /* of the pixels: in large pages */
  uint8_t *pixels;
};

static size_t row_bytes(const dw__half *half) {
  return (size_t)half->w * half->bytes;
}

dw__half *dw__half_new(const dw_photo *photo) {
  const dw_photo_info *info = &photo->info;
  dw__half half = {.w = (info->stored_width + 1) / 2,
                   .h = (info->stored_height + 1) / 2,
                   .bytes = (size_t)dw__coded_samples(photo)};
  size_t all = row_bytes(&half) * (size_t)half.h;
  if (all > BYTES_MAX || all > photo->limits.max_bytes / SHARE_OF_ALL) return NULL;
  dw__half *out = malloc(sizeof *out);
  half.arena = out ? dw_arena_new(all) : NULL;
  half.pixels = half.arena ? dw_arena_take(half.arena, all, 1) : NULL;
  if (half.pixels) {
    *out = half;
    return out;
  }
  dw_arena_free(half.arena);
  free(out);
  return NULL;
}

void dw__half_free(dw__half *half) {
  if (half) dw_arena_free(half->arena);
  free(half);
}

static void take(void *ctx, int y, const void *samples) {
  dw__half *half = ctx;
  memcpy(half->pixels + (size_t)y * row_bytes(half), samples, row_bytes(half));
  half->rows = y + 1;
}

dw__job dw__half_job(dw__half *half, const dw__job *job, dw__span *rows) {
  *rows = (dw__span){0, half->h};
  dw__job whole = *job;
  whole.rows = rows;
  whole.n_rows = 1;
  whole.columns = (dw__span){0, half->w};
  whole.reduce = 2;
  whole.row = take;
  whole.ctx = half;
  return whole;
}

bool dw__half_whole(const dw__half *half) {
  return half->rows == half->h;
}

/* The sums down `n` rows, of the columns first to end of the half. */
static void sum_down(const uint8_t *from, size_t wide, size_t rows, size_t n, uint16_t *sum) {
  for (size_t i = 0; i < n; i++) sum[i] = from[i];
  for (size_t r = 1; r < rows; r++)
    for (size_t i = 0; i < n; i++) sum[i] = (uint16_t)(sum[i] + from[r * wide + i]);
}

/* One pixel: the mean of `many` columns' sums over `rows`. */
static void mean_across(const uint16_t *sum, size_t bytes, unsigned many, unsigned rows, uint8_t *out) {
  unsigned n = many * rows;
  for (size_t c = 0; c < bytes; c++) {
    unsigned all = n / 2;
    for (unsigned i = 0; i < many; i++) all += sum[i * bytes + c];
    out[c] = (uint8_t)(all / n);
  }
}

/* The usual pixel of a color photo, reduced to a quarter. */
static void means_of_four(const uint16_t *sum, size_t n, uint8_t *out) {
  for (size_t i = 0; i < n; i++, sum += 6, out += 3)
    for (int c = 0; c < 3; c++) out[c] = (uint8_t)((sum[c] + sum[3 + c] + 2) >> 2);
}

/* Pixels first to end of row y, each the mean of k x k of the half, or of what is left of it at its edge. */
static void mean_row(const dw__half *half, int k, int y, dw__span columns, uint16_t *sum, uint8_t *out) {
  int first = columns.first * k, end = columns.end * k < half->w ? columns.end * k : half->w,
      rows = half->h - y * k < k ? half->h - y * k : k, whole = (end - first) / k;
  sum_down(half->pixels + ((size_t)y * (size_t)k * (size_t)half->w + (size_t)first) * half->bytes,
           row_bytes(half), (size_t)rows, (size_t)(end - first) * half->bytes, sum);
  int done = 0;
  if (k == 2 && rows == 2 && half->bytes == 3) means_of_four(sum, (size_t)(done = whole), out);
  for (; done < columns.end - columns.first; done++) {
    int many = end - first - done * k < k ? end - first - done * k : k;
    mean_across(sum + (size_t)done * (size_t)k * half->bytes, half->bytes, (unsigned)many, (unsigned)rows,
                out + (size_t)done * half->bytes);
  }
}

dw_status dw__half_rows(const dw__half *half, const dw__job *job, dw_error *err) {
  const int k = job->reduce / 2;
  size_t wide = (size_t)(job->columns.end - job->columns.first) * half->bytes;
  uint8_t *line = malloc(wide);
  uint16_t *sum = malloc(wide * (size_t)k * sizeof *sum);
  dw_status status = line && sum ? DW_OK : dw_fail_memory(err, "decoding the photo");
  for (size_t i = 0; i < job->n_rows && status == DW_OK; i++)
    for (int y = job->rows[i].first; y < job->rows[i].end; y++) {
      const uint8_t *row =
          half->pixels + (size_t)y * row_bytes(half) + (size_t)job->columns.first * half->bytes;
      if (k > 1) mean_row(half, k, y, job->columns, sum, line);
      job->row(job->ctx, y, k > 1 ? line : row);
    }
  free(line);
  free(sum);
  return status;
}
