/* Photos: JPEG, PNG and HEIC decoded only where asked, by a sealed process of their own.
 *
 * All coordinates are photo pixels after EXIF orientation: x right, y down, the center of the first pixel at
 * (0, 0). Memory follows the rectangles asked for, not the photo: baseline JPEG and plain PNG are decoded row
 * by row, rows without a rectangle skipped; progressive JPEG keeps its coefficients and interlaced PNG its
 * rows, within the limits (docs/photo.md). */
#ifndef DROPWISE_PHOTO_H
#define DROPWISE_PHOTO_H

#include "dropwise/base.h"
#include "dropwise/color.h"

typedef struct dw_photo_limits {
  double max_megapixels; /* of the photo, by its header; default 200 */
  size_t max_bytes;      /* of memory for decoding and kept pixels; default 512 MiB */
  double max_s;          /* for the header, and again for each reading; default (0) 120 */
} dw_photo_limits;
dw_photo_limits dw_photo_limits_default(void);

typedef struct dw_rect {
  int x, y, w, h;
} dw_rect;

typedef struct dw_photo_info {
  int width, height; /* oriented */
  int stored_width, stored_height;
  int orientation;   /* EXIF 1..8, 1 when absent or nonsense */
  int bits;          /* 8 or 16 */
  char format[8];    /* "JPEG", "PNG" or "HEIC" */
  char kind[24];     /* "YCbCr", "gray", "CMYK", "palette", "RGB", "RGBA", ... */
  bool staged;       /* progressive or interlaced: needs more memory */
  char profile[128]; /* "sRGB (none embedded)" or the embedded profile's description */
  char taken[24];    /* EXIF DateTimeOriginal, "2026-05-01 14:03:22", or "" */
  dw_notes notes;    /* no profile, alpha ignored, broken EXIF, truncated file ... */
} dw_photo_info;

typedef struct dw_photo dw_photo;

/* Reads the header only; limits NULL means the defaults.  The file is read, never kept whole.
 * Foreign bytes are parsed by a program of their own, dropwise-decode (HEIC: dropwise-decode-heic), in the
 * folder of the running program: sealed (dropwise/seal.h) and alive as long as the photo is open. This
 * process forks; one photo is for one thread at a time, distinct photos for any. Errors DW_NOT_FOUND, DW_IO
 * (also: no decoder there, or no seal), DW_UNSUPPORTED (another kind, CMYK without a profile, HEIC without
 * its decoder), DW_TOO_LARGE, DW_CORRUPT (also: the decoder crashed or took too long), DW_NO_MEMORY */
dw_status dw_photo_open(const char *path, const dw_photo_limits *limits, dw_photo **out, dw_error *err);
void dw_photo_close(dw_photo *photo);
const dw_photo_info *dw_photo_info_get(const dw_photo *photo); /* borrowed */
const char *dw_photo_path(const dw_photo *photo);

/* Bits of dw_patch.clip */
enum { DW_CLIP_HIGH = 1, DW_CLIP_LOW = 2 };

/* The pixels of one rectangle. */
typedef struct dw_patch {
  dw_rect rect;  /* as kept: inside the photo; thinned: x, y of the first pixel, w and h in kept pixels */
  int step;      /* photo pixels from one kept pixel to the next; 0 as 1 */
  float off[2];  /* of a halved pixel's center from its place, photo pixels: right, down */
  float *rgb;    /* linear sRGB after the photo's profile, rect.h x rect.w x 3, row-major, unbounded */
  uint8_t *clip; /* rect.h x rect.w: a stored sample at its end (0, or the largest) */
  const uint8_t *code;        /* instead of both (dw_photo_patches_coded): rect.h x rect.w x 3, as stored */
  const dw_code_light *light; /* of the codes */
} dw_patch;
/* Its step, 1 where 0 stands for it. */
static inline int dw_patch_step(const dw_patch *patch) {
  return patch->step > 1 ? patch->step : 1;
}
/* A place of the photo in pixels of a patch of it. */
static inline void dw_photo_in_patch(const dw_patch *patch, double x, double y, double *px, double *py) {
  *px = (x - patch->rect.x - (double)patch->off[0]) / dw_patch_step(patch);
  *py = (y - patch->rect.y - (double)patch->off[1]) / dw_patch_step(patch);
}
/* And back. */
static inline void dw_patch_in_photo(const dw_patch *patch, double px, double py, double *x, double *y) {
  *x = patch->rect.x + (double)patch->off[0] + dw_patch_step(patch) * px;
  *y = patch->rect.y + (double)patch->off[1] + dw_patch_step(patch) * py;
}

/* Decodes the photo once and keeps n rectangles (they may overlap; each is cut to the photo).
 * arena     owns the pixels
 * Errors    DW_BAD_INPUT a rectangle wholly outside, DW_TOO_LARGE, DW_CORRUPT, DW_IO, DW_NO_MEMORY.
 *           A file that ends early is DW_CORRUPT when a wanted row is missing. */
dw_status dw_photo_patches(dw_photo *photo, const dw_rect *rects, size_t n, dw_arena *arena, dw_patch *out,
                           dw_error *err);

/* Rectangles by every step-th pixel of every step-th row, from the first of each: a look that is quick however
 * large they are.  Errors as dw_photo_patches, DW_BAD_INPUT a step below 1 */
dw_status dw_photo_patches_thinned(dw_photo *photo, const dw_rect *rects, size_t n, int step, dw_arena *arena,
                                   dw_patch *out, dw_error *err);
dw_status dw_photo_patch_thinned(dw_photo *photo, dw_rect rect, int step, dw_arena *arena, dw_patch *out,
                                 dw_error *err);
/* The same in about half the time for a JPEG and a step of 2 or more: each pixel kept is the mean, of coded values, of
 * the four, two by two, that it is one of. */
dw_status dw_photo_patches_halved(dw_photo *photo, const dw_rect *rects, size_t n, int step, dw_arena *arena,
                                  dw_patch *out, dw_error *err);

/* The same for who reads few of the pixels: where the photo is coded in 8-bit red, green and blue they come so, in a
 * quarter of the memory, for dw_patch_pixel; else as light. */
dw_status dw_photo_patches_coded(dw_photo *photo, const dw_rect *rects, size_t n, int step, dw_arena *arena,
                                 dw_patch *out, dw_error *err);
/* Pixel i of any patch: its linear sRGB, returns its DW_CLIP_ bits. */
static inline uint8_t dw_patch_pixel(const dw_patch *patch, size_t i, float rgb[3]) {
  if (!patch->code) {
    for (size_t k = 0; k < 3; k++) rgb[k] = patch->rgb[3 * i + k];
    return patch->clip[i];
  }
  const uint8_t *code = patch->code + 3 * i;
  dw_code_light_at(patch->light, code, rgb);
  return (uint8_t)((code[0] == 255 || code[1] == 255 || code[2] == 255 ? DW_CLIP_HIGH : 0) |
                   (code[0] == 0 || code[1] == 0 || code[2] == 0 ? DW_CLIP_LOW : 0));
}

/* A reduced sRGB picture for screens and reports, oriented, at most max_side wide and high. */
typedef struct dw_preview {
  int width, height;
  double scale; /* preview pixels per photo pixel */
  uint8_t *rgb; /* height x width x 3; owned by the arena */
} dw_preview;
dw_status dw_photo_preview(dw_photo *photo, int max_side, dw_arena *arena, dw_preview *out, dw_error *err);
/* The same, where dw_photo_patches_halved follows: a JPEG is decoded once, at half its size, and kept so until the
 * photo is closed, up to 64 MiB. Where the preview is smaller than half, its pixels are means of coded values. */
dw_status dw_photo_preview_halved(dw_photo *photo, int max_side, dw_arena *arena, dw_preview *out,
                                  dw_error *err);
/* The same of a part, cut to the photo.  Errors DW_BAD_INPUT a part wholly outside */
dw_status dw_photo_part(dw_photo *photo, dw_rect part, int max_side, dw_arena *arena, dw_preview *out,
                        dw_error *err);
/* JPEG bytes of a preview (quality 1..100); *out is free()d by the caller.  Errors DW_NO_MEMORY */
dw_status dw_preview_jpeg(const dw_preview *preview, int quality, uint8_t **out, size_t *n, dw_error *err);
/* PNG bytes of a preview; *out is free()d by the caller.  Errors DW_NO_MEMORY, DW_INTERNAL */
dw_status dw_preview_png(const dw_preview *preview, uint8_t **out, size_t *n, dw_error *err);

/* ---- spools: a photo decoded once and laid out so that any part of it is read at once ---------------------
 *
 * A spool holds every pixel's linear light, its square root to 1/16000, and its clip flags, 8 bytes a pixel.
 * It is a file of this program on this machine, not a format to pass on. */

size_t dw_spool_bytes(const dw_photo_info *info);
/* Decodes the whole photo into a file of dw_spool_bytes zeros, open for reading and writing, whose room is
 * taken (a full disk would end the decoder). Nobody but the decoder has it open for writing then, and the
 * decoder until the photo is closed. A fill that failed leaves no valid spool. Errors DW_CORRUPT also when
 * the photo ends early; those of decoding */
dw_status dw_spool_fill(dw_photo *photo, int fd, dw_error *err);
/* A spool as a photo: pixels within a hair of the photo's own, and no foreign bytes are decoded any more.
 * What the file holds is checked, so that whoever filled it need not be trusted. path  opened here; name
 * called so in messages.  Errors DW_NOT_FOUND, DW_CORRUPT, DW_IO, DW_NO_MEMORY */
dw_status dw_spool_open(const char *path, const char *name, const dw_photo_limits *limits, dw_photo **out,
                        dw_error *err);

#endif
