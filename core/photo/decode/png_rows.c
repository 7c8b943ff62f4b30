/* Decoding a PNG's wanted rows. PNG filters each row against the one above, so rows are decoded from the top,
 * one at a time, and decoding ends behind the last wanted one. */
#include "photo/decode/png_reader.h"

#include <stdlib.h>

static bool little_endian(void) {
  const uint16_t one = 1;
  return *(const uint8_t *)&one == 1;
}

static int set_transforms(dw__png *png) {
  int type = png_get_color_type(png->png, png->info);
  bool gray = type == PNG_COLOR_TYPE_GRAY || type == PNG_COLOR_TYPE_GRAY_ALPHA;
  if (type == PNG_COLOR_TYPE_PALETTE) png_set_palette_to_rgb(png->png);
  if (type == PNG_COLOR_TYPE_GRAY) png_set_expand_gray_1_2_4_to_8(png->png);
  if (gray && dw__coded_samples(png->photo) == 3) png_set_gray_to_rgb(png->png);
  png_set_strip_alpha(png->png);
  if (little_endian()) png_set_swap(png->png);
  int passes = png_set_interlace_handling(png->png);
  png_read_update_info(png->png, png->info);
  return passes;
}

/* The rows were planned from an earlier look at the file. */
static dw_status check_same(dw__png *png, size_t row_bytes) {
  const dw_photo_info *info = &png->photo->info;
  bool interlaced = png_get_interlace_type(png->png, png->info) != PNG_INTERLACE_NONE;
  if (png_get_image_width(png->png, png->info) == (png_uint_32)info->stored_width &&
      png_get_image_height(png->png, png->info) == (png_uint_32)info->stored_height &&
      interlaced == info->staged && row_bytes == (size_t)info->stored_width * dw__coded_bytes(png->photo))
    return DW_OK;
  return dw_fail(png->err, DW_CORRUPT, "%s was changed while it was being read: read it again.",
                 png->photo->path);
}

static size_t wanted_rows(const dw__job *job) {
  size_t n = 0;
  for (size_t i = 0; i < job->n_rows; i++) n += (size_t)(job->rows[i].end - job->rows[i].first);
  return n;
}

static size_t row_bytes_of(const dw__png *png) {
  return (size_t)png->photo->info.stored_width * dw__coded_bytes(png->photo);
}

static dw_status take_memory(dw__png *png, size_t row_bytes) {
  const dw_photo *photo = png->photo;
  size_t kept = 0, need;
  bool fits = (!photo->info.staged || dw_size_mul(wanted_rows(png->job), row_bytes, &kept)) &&
              dw_size_add(kept, 4 * row_bytes, &need) && need <= png->job->max_bytes;
  if (!fits)
    return dw_fail(png->err, DW_TOO_LARGE, "%s needs more than %zu MiB to decode%s: reduce it first.",
                   photo->path, photo->limits.max_bytes >> 20,
                   photo->info.staged ? ", being interlaced" : "");
  png->line = malloc(row_bytes);
  if (kept) png->kept = calloc(1, kept);
  if (!png->line || (kept && !png->kept)) return dw_fail_memory(png->err, "decoding the photo");
  return DW_OK;
}

static void deliver(dw__png *png, int y, const uint8_t *line) {
  const dw__job *job = png->job;
  job->row(job->ctx, y, line + (size_t)job->columns.first * dw__coded_bytes(png->photo));
  png->delivered = true;
}

/* A chunk's check sum stands behind its data: read on until it has been compared, so that no pixel is used
 * unchecked. */
static void read_to_checksum(dw__png *png, int y) {
  unsigned seen = png->checksums;
  while (y++ < png->photo->info.stored_height && png->checksums == seen)
    png_read_row(png->png, png->line, NULL);
}

static void read_plain(dw__png *png) {
  const dw__job *job = png->job;
  int y = 0;
  for (size_t i = 0; i < job->n_rows; i++) {
    for (; y < job->rows[i].first; y++) png_read_row(png->png, png->line, NULL);
    for (; y < job->rows[i].end; y++) {
      png_read_row(png->png, png->line, NULL);
      deliver(png, y, png->line);
    }
  }
  read_to_checksum(png, y);
}

/* One pass over an interlaced picture: wanted rows fill up in place, the others are decoded and dropped. */
static void read_pass(dw__png *png, size_t row_bytes) {
  const dw__job *job = png->job;
  uint8_t *kept = png->kept;
  size_t i = 0;
  for (int y = 0; y < png->photo->info.stored_height; y++) {
    if (i < job->n_rows && y >= job->rows[i].end) i++;
    bool wanted = i < job->n_rows && y >= job->rows[i].first;
    png_read_row(png->png, NULL, wanted ? kept : png->line);
    if (wanted) kept += row_bytes;
  }
}

void dw__png_deliver_kept(dw__png *png) {
  if (!png->kept) return;
  const uint8_t *kept = png->kept;
  for (size_t i = 0; i < png->job->n_rows; i++)
    for (int y = png->job->rows[i].first; y < png->job->rows[i].end; y++, kept += row_bytes_of(png))
      deliver(png, y, kept);
}

void dw__png_rows(void *ctx) {
  dw__png *png = ctx;
  int passes = set_transforms(png);
  size_t row_bytes = png_get_rowbytes(png->png, png->info);
  dw_status status = check_same(png, row_bytes);
  if (status == DW_OK) status = take_memory(png, row_bytes);
  if (status != DW_OK) dw__png_stop(png, status);
  if (!png->photo->info.staged) {
    read_plain(png);
    return;
  }
  for (int pass = 0; pass < passes; pass++) read_pass(png, row_bytes);
  dw__png_deliver_kept(png);
}
