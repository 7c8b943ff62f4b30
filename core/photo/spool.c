/* Reading a spool, and having one filled. */
#include "photo/spool.h"

#include "photo/decoder.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

/* ---- having it filled -------------------------------------------------------------------------------------
 */

static dw_status fill_apart(dw_photo *photo, int fd, dw_error *err) {
  dw__ask *what = calloc(1, sizeof *what);
  if (!what) return dw_fail_memory(err, "decoding the photo");
  what->kind = DW__ASK_SPOOL;
  what->bytes = dw_spool_bytes(&photo->info);
  dw_status status = dw__decoder_ask(photo, what, fd, err);
  free(what);
  return status;
}

static dw_status fill_here(dw_photo *photo, int fd, dw_error *err) {
  size_t n = dw_spool_bytes(&photo->info);
  void *memory = mmap(NULL, n, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
  if (memory == MAP_FAILED) return dw_fail_memory(err, "decoding the photo");
  dw_status status = dw__spool_fill(photo, memory, err);
  munmap(memory, n);
  return status;
}

dw_status dw_spool_fill(dw_photo *photo, int fd, dw_error *err) {
  return photo->format ? fill_here(photo, fd, err) : fill_apart(photo, fd, err);
}

/* ---- reading --------------------------------------------------------------------------------------------
 */

static size_t spool_bytes(const dw_photo *photo) {
  (void)photo;
  return sizeof(dw__spooled);
}

static void spool_linear(const dw_photo *photo, const void *pixels, size_t n, float *rgb) {
  const dw__spooled *pixel = pixels;
  (void)photo;
  const float step = 1 / (DW__ROOT_STEPS * DW__ROOT_STEPS);
  for (size_t i = 0; i < n; i++)
    for (size_t c = 0; c < 3; c++) {
      float root = pixel[i].root[c];
      rgb[3 * i + c] = root * fabsf(root) * step;
    }
}

static void spool_clip(const dw_photo *photo, const void *pixels, size_t n, uint8_t *clip) {
  const dw__spooled *pixel = pixels;
  (void)photo;
  for (size_t i = 0; i < n; i++) clip[i] = pixel[i].clip & (DW_CLIP_HIGH | DW_CLIP_LOW);
}

static dw_status spool_header(dw_photo *photo, dw__header *header, dw_error *err) {
  dw__spool_head start;
  struct stat about;
  (void)header;
  int fd = fileno(photo->file);
  bool whole = fstat(fd, &about) == 0 && pread(fd, &start, sizeof start, 0) == (ssize_t)sizeof start &&
               memcmp(start.mark, dw__spool_mark, sizeof dw__spool_mark) == 0 &&
               dw__info_sound(&start.info) && (size_t)about.st_size == dw_spool_bytes(&start.info);
  if (!whole)
    return dw_fail(err, DW_CORRUPT, "The decoded copy of %s is damaged: open it again.", photo->path);
  photo->info = start.info;
  dw__info_make_plain(&photo->info);
  photo->info.bits = 16; /* as delivered now */
  return DW_OK;
}

static dw_status spool_rows(dw_photo *photo, const dw__job *job, dw__spooled *line, dw_error *err) {
  size_t width = (size_t)(job->columns.end - job->columns.first), bytes = width * sizeof *line;
  for (size_t i = 0; i < job->n_rows; i++)
    for (int y = job->rows[i].first; y < job->rows[i].end; y++) {
      size_t pixel = (size_t)y * (size_t)photo->info.stored_width + (size_t)job->columns.first;
      off_t at = (off_t)(DW__SPOOL_HEAD_BYTES + pixel * sizeof *line);
      if (pread(fileno(photo->file), line, bytes, at) != (ssize_t)bytes)
        return dw_fail(err, DW_IO, "The decoded copy of %s can't be read.", photo->path);
      job->row(job->ctx, y, line);
    }
  return DW_OK;
}

static dw_status spool_decode(dw_photo *photo, const dw__job *job, dw_error *err) {
  dw__spooled *line = malloc((size_t)(job->columns.end - job->columns.first) * sizeof *line);
  if (!line) return dw_fail_memory(err, "reading the photo");
  dw_status status = spool_rows(photo, job, line, err);
  free(line);
  return status;
}

const dw__format dw__format_spool = {.name = "spool",
                                     .header = spool_header,
                                     .decode = spool_decode,
                                     .pixel_bytes = spool_bytes,
                                     .linear = spool_linear,
                                     .clip = spool_clip,
                                     .max_reduce = 1};

dw_status dw_spool_open(const char *path, const char *name, const dw_photo_limits *limits, dw_photo **out,
                        dw_error *err) {
  int fd = -1;
  dw_photo *photo = dw__photo_new(name, limits);
  if (!photo) return dw_fail_memory(err, "a photo");
  photo->format = &dw__format_spool;
  dw_status status = dw__photo_open_fd(path, name, &fd, err);
  if (status == DW_OK && !(photo->file = fdopen(fd, "rb"))) {
    close(fd);
    status = dw_fail_memory(err, "the photo's file");
  }
  if (status == DW_OK) status = photo->format->header(photo, NULL, err);
  if (status == DW_OK)
    *out = photo;
  else
    dw_photo_close(photo);
  return status;
}
