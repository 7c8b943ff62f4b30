/* Spools: the whole photo as linear light in a file of our own, so that reading a part costs only that part.
 *
 * The square root is kept, not the light itself: its steps are then about as even to the eye as those of an
 * encoded picture, and finer than those of 12 bits. Rows lie as the photo stores them; orientation is applied
 * by the readers, as for any other photo. */
#include "photo/decode.h"
#include "photo/orient.h"

#include <errno.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { HEAD_BYTES = 4096 };
#define ROOT_STEPS 16000.0f /* a root of 1; roots up to 2.04, light up to 4.19, fit 16 bits */
#define ROOT_MOST 32767.0f

/* One pixel: signed square roots of its light, and its clip flags. */
typedef struct spooled {
  int16_t root[3];
  uint16_t clip;
} spooled;

typedef struct head {
  char mark[16]; /* written last: a spool without it was not finished */
  dw_photo_info info;
} head;
_Static_assert(sizeof(head) <= HEAD_BYTES, "a spool's head outgrew its room");
static const char spool_mark[16] = "dropwise spool1";

size_t dw_spool_bytes(const dw_photo_info *info) {
  return HEAD_BYTES + (size_t)info->stored_width * (size_t)info->stored_height * sizeof(spooled);
}

/* ---- filling --------------------------------------------------------------------------------------------
 */

typedef struct filler {
  const dw_photo *photo;
  spooled *pixels;
  float *line;
  uint8_t *clips;
} filler;

static int16_t root_of(float light) {
  float root = ROOT_STEPS * sqrtf(fabsf(light));
  if (!(root < ROOT_MOST)) root = ROOT_MOST;
  return (int16_t)(light < 0 ? -(root + 0.5f) : root + 0.5f);
}

static void fill_row(void *ctx, int y, const void *samples) {
  filler *f = ctx;
  size_t n = (size_t)f->photo->info.stored_width;
  spooled *to = f->pixels + (size_t)y * n;
  f->photo->format->linear(f->photo, samples, n, f->line);
  f->photo->format->clip(f->photo, samples, n, f->clips);
  for (size_t x = 0; x < n; x++) {
    for (size_t c = 0; c < 3; c++) to[x].root[c] = root_of(f->line[3 * x + c]);
    to[x].clip = f->clips[x];
  }
}

dw_status dw_spool_fill(dw_photo *photo, void *memory, dw_error *err) {
  const dw_photo_info *info = &photo->info;
  size_t n = (size_t)info->stored_width;
  filler f = {.photo = photo, .pixels = (spooled *)(void *)((char *)memory + HEAD_BYTES)};
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
    head *start = memory;
    start->info = *info;
    memcpy(start->mark, spool_mark, sizeof spool_mark);
  }
  free(f.line);
  free(f.clips);
  return status;
}

/* ---- reading --------------------------------------------------------------------------------------------
 */

static size_t spool_bytes(const dw_photo *photo) {
  (void)photo;
  return sizeof(spooled);
}

static void spool_linear(const dw_photo *photo, const void *pixels, size_t n, float *rgb) {
  const spooled *pixel = pixels;
  (void)photo;
  const float step = 1 / (ROOT_STEPS * ROOT_STEPS);
  for (size_t i = 0; i < n; i++)
    for (size_t c = 0; c < 3; c++) {
      float root = pixel[i].root[c];
      rgb[3 * i + c] = root * fabsf(root) * step;
    }
}

static void spool_clip(const dw_photo *photo, const void *pixels, size_t n, uint8_t *clip) {
  const spooled *pixel = pixels;
  (void)photo;
  for (size_t i = 0; i < n; i++) clip[i] = (uint8_t)pixel[i].clip;
}

static bool text_ends(const char *text, size_t room) {
  return memchr(text, '\0', room) != NULL;
}

/* Whoever filled the spool may have been taken over by the photo: nothing it says is believed unseen. */
static bool head_sound(const dw_photo_info *i) {
  if (i->stored_width < 1 || i->stored_height < 1 || i->stored_width > DW__EDGE_MAX ||
      i->stored_height > DW__EDGE_MAX || i->orientation < 1 || i->orientation > 8)
    return false;
  bool swap = dw__orient_swaps(i->orientation);
  bool texts = text_ends(i->format, sizeof i->format) && text_ends(i->kind, sizeof i->kind) &&
               text_ends(i->profile, sizeof i->profile) && text_ends(i->taken, sizeof i->taken);
  for (size_t k = 0; k < DW_NOTES_MAX; k++)
    texts = texts && text_ends(i->notes.text[k], sizeof i->notes.text[k]);
  return texts && i->notes.n <= DW_NOTES_MAX && i->width == (swap ? i->stored_height : i->stored_width) &&
         i->height == (swap ? i->stored_width : i->stored_height);
}

static dw_status spool_header(dw_photo *photo, dw__header *header, dw_error *err) {
  head start;
  struct stat about;
  (void)header;
  int fd = fileno(photo->file);
  bool whole = fstat(fd, &about) == 0 && pread(fd, &start, sizeof start, 0) == (ssize_t)sizeof start &&
               memcmp(start.mark, spool_mark, sizeof spool_mark) == 0 && head_sound(&start.info) &&
               (size_t)about.st_size == dw_spool_bytes(&start.info);
  if (!whole)
    return dw_fail(err, DW_CORRUPT, "The decoded copy of %s is damaged: open it again.", photo->path);
  photo->info = start.info;
  photo->info.bits = 16; /* as delivered now */
  return DW_OK;
}

static dw_status spool_rows(dw_photo *photo, const dw__job *job, spooled *line, dw_error *err) {
  size_t width = (size_t)(job->columns.end - job->columns.first), bytes = width * sizeof *line;
  for (size_t i = 0; i < job->n_rows; i++)
    for (int y = job->rows[i].first; y < job->rows[i].end; y++) {
      size_t pixel = (size_t)y * (size_t)photo->info.stored_width + (size_t)job->columns.first;
      off_t at = (off_t)(HEAD_BYTES + pixel * sizeof *line);
      if (pread(fileno(photo->file), line, bytes, at) != (ssize_t)bytes)
        return dw_fail(err, DW_IO, "The decoded copy of %s can't be read.", photo->path);
      job->row(job->ctx, y, line);
    }
  return DW_OK;
}

static dw_status spool_decode(dw_photo *photo, const dw__job *job, dw_error *err) {
  spooled *line = malloc((size_t)(job->columns.end - job->columns.first) * sizeof *line);
  if (!line) return dw_fail_memory(err, "reading the photo");
  dw_status status = spool_rows(photo, job, line, err);
  free(line);
  return status;
}

const dw__format dw__format_spool = {.header = spool_header,
                                     .decode = spool_decode,
                                     .pixel_bytes = spool_bytes,
                                     .linear = spool_linear,
                                     .clip = spool_clip,
                                     .max_reduce = 1};

dw_status dw_spool_open(const char *path, const char *name, const dw_photo_limits *limits, dw_photo **out,
                        dw_error *err) {
  dw_photo *photo = calloc(1, sizeof *photo);
  if (!photo) return dw_fail_memory(err, "a photo");
  photo->limits = limits ? *limits : dw_photo_limits_default();
  photo->format = &dw__format_spool;
  photo->path = strdup(name);
  dw_status status = photo->path ? DW_OK : dw_fail_memory(err, "a photo");
  if (status == DW_OK) status = dw__photo_open_file(photo, path, err);
  if (status == DW_OK) status = photo->format->header(photo, NULL, err);
  if (status == DW_OK)
    *out = photo;
  else
    dw_photo_close(photo);
  return status;
}
