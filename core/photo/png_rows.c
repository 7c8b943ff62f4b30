/* Decoding a PNG's wanted rows. PNG filters each row against the one above, so rows are decoded from the top,
 * one at a time, and decoding ends behind the last wanted one. */
#include "photo/png_reader.h"

#include <stdlib.h>

static bool little_endian(void) {
  const uint16_t one = 1;
  return *(const uint8_t *)&one == 1;
}

static int set_transforms(pt__png *png) {
  int type = png_get_color_type(png->png, png->info);
  bool gray = type == PNG_COLOR_TYPE_GRAY || type == PNG_COLOR_TYPE_GRAY_ALPHA;
  if (type == PNG_COLOR_TYPE_PALETTE) png_set_palette_to_rgb(png->png);
  if (type == PNG_COLOR_TYPE_GRAY) png_set_expand_gray_1_2_4_to_8(png->png);
  if (gray && pt__coded_samples(png->photo) == 3) png_set_gray_to_rgb(png->png);
  png_set_strip_alpha(png->png);
  if (little_endian()) png_set_swap(png->png);
  int passes = png_set_interlace_handling(png->png);
  png_read_update_info(png->png, png->info);
  return passes;
}

/* The rows were planned from an earlier look at the file. */
static pt_status check_same(pt__png *png, size_t row_bytes) {
  const pt_photo_info *info = &png->photo->info;
  bool interlaced = png_get_interlace_type(png->png, png->info) != PNG_INTERLACE_NONE;
  if (png_get_image_width(png->png, png->info) == (png_uint_32)info->stored_width &&
      png_get_image_height(png->png, png->info) == (png_uint_32)info->stored_height &&
      interlaced == info->staged && row_bytes == (size_t)info->stored_width * pt__coded_bytes(png->photo))
    return PT_OK;
  return pt_fail(png->err, PT_CORRUPT, "%s was changed while it was being read: read it again.",
                 png->photo->path);
}

static size_t wanted_rows(const pt__job *job) {
  size_t n = 0;
  for (size_t i = 0; i < job->n_rows; i++) n += (size_t)(job->rows[i].end - job->rows[i].first);
  return n;
}

static size_t row_bytes_of(const pt__png *png) {
  return (size_t)png->photo->info.stored_width * pt__coded_bytes(png->photo);
}

static pt_status take_memory(pt__png *png, size_t row_bytes) {
  const pt_photo *photo = png->photo;
  size_t kept = 0, need;
  bool fits = (!photo->info.staged || pt_size_mul(wanted_rows(png->job), row_bytes, &kept)) &&
              pt_size_add(kept, 4 * row_bytes, &need) && need <= png->job->max_bytes;
  if (!fits)
    return pt_fail(png->err, PT_TOO_LARGE, "%s needs more than %zu MiB to decode%s: reduce it first.",
                   photo->path, photo->limits.max_bytes >> 20,
                   photo->info.staged ? ", being interlaced" : "");
  png->line = malloc(row_bytes);
  if (kept) png->kept = calloc(1, kept);
  if (!png->line || (kept && !png->kept)) return pt_fail_memory(png->err, "decoding the photo");
  return PT_OK;
}

static void deliver(pt__png *png, int y, const uint8_t *line) {
  const pt__job *job = png->job;
  job->row(job->ctx, y, line + (size_t)job->columns.first * pt__coded_bytes(png->photo));
  png->delivered = true;
}

/* A chunk's check sum stands behind its data: read on until it has been compared, so that no pixel is used
 * unchecked. */
static void read_to_checksum(pt__png *png, int y) {
  unsigned seen = png->checksums;
  while (y++ < png->photo->info.stored_height && png->checksums == seen)
    png_read_row(png->png, png->line, NULL);
}

static void read_plain(pt__png *png) {
  const pt__job *job = png->job;
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
static void read_pass(pt__png *png, size_t row_bytes) {
  const pt__job *job = png->job;
  uint8_t *kept = png->kept;
  size_t i = 0;
  for (int y = 0; y < png->photo->info.stored_height; y++) {
    if (i < job->n_rows && y >= job->rows[i].end) i++;
    bool wanted = i < job->n_rows && y >= job->rows[i].first;
    png_read_row(png->png, NULL, wanted ? kept : png->line);
    if (wanted) kept += row_bytes;
  }
}

void pt__png_deliver_kept(pt__png *png) {
  if (!png->kept) return;
  const uint8_t *kept = png->kept;
  for (size_t i = 0; i < png->job->n_rows; i++)
    for (int y = png->job->rows[i].first; y < png->job->rows[i].end; y++, kept += row_bytes_of(png))
      deliver(png, y, kept);
}

void pt__png_rows(void *ctx) {
  pt__png *png = ctx;
  int passes = set_transforms(png);
  size_t row_bytes = png_get_rowbytes(png->png, png->info);
  pt_status status = check_same(png, row_bytes);
  if (status == PT_OK) status = take_memory(png, row_bytes);
  if (status != PT_OK) pt__png_stop(png, status);
  if (!png->photo->info.staged) {
    read_plain(png);
    return;
  }
  for (int pass = 0; pass < passes; pass++) read_pass(png, row_bytes);
  pt__png_deliver_kept(png);
}
