/* Photos: JPEG and PNG decoded only where asked.
 *
 * All coordinates are photo pixels after EXIF orientation: x right, y down, the center of the first pixel at
 * (0, 0). Memory follows the rectangles asked for, not the photo: baseline JPEG and plain PNG are decoded row
 * by row, rows without a rectangle skipped; progressive JPEG keeps its coefficients and interlaced PNG its
 * rows, within the limits (docs/photo.md). */
#ifndef POURTONE_PHOTO_H
#define POURTONE_PHOTO_H

#include "pourtone/base.h"

typedef struct pt_photo_limits {
  double max_megapixels; /* of the photo, by its header; default 200 */
  size_t max_bytes;      /* of memory for decoding and kept pixels; default 512 MiB */
} pt_photo_limits;
pt_photo_limits pt_photo_limits_default(void);

typedef struct pt_rect {
  int x, y, w, h;
} pt_rect;

typedef struct pt_photo_info {
  int width, height; /* oriented */
  int stored_width, stored_height;
  int orientation;   /* EXIF 1..8, 1 when absent or nonsense */
  int bits;          /* 8 or 16 */
  char format[8];    /* "JPEG" or "PNG" */
  char kind[24];     /* "YCbCr", "gray", "CMYK", "palette", "RGB", "RGBA", ... */
  bool staged;       /* progressive or interlaced: needs more memory */
  char profile[128]; /* "sRGB (none embedded)" or the embedded profile's description */
  char taken[24];    /* EXIF DateTimeOriginal, "2026-05-01 14:03:22", or "" */
  pt_notes notes;    /* no profile, alpha ignored, broken EXIF, truncated file ... */
} pt_photo_info;

typedef struct pt_photo pt_photo;

/* Reads the header only; limits NULL means the defaults.  The file is read, never kept whole.
 * Errors PT_NOT_FOUND, PT_IO, PT_UNSUPPORTED (not JPEG or PNG, CMYK without a profile), PT_TOO_LARGE,
 * PT_CORRUPT, PT_NO_MEMORY */
pt_status pt_photo_open(const char *path, const pt_photo_limits *limits, pt_photo **out, pt_error *err);
void pt_photo_close(pt_photo *photo);
const pt_photo_info *pt_photo_info_get(const pt_photo *photo); /* borrowed */
const char *pt_photo_path(const pt_photo *photo);

/* Bits of pt_patch.clip */
enum { PT_CLIP_HIGH = 1, PT_CLIP_LOW = 2 };

/* The pixels of one rectangle. */
typedef struct pt_patch {
  pt_rect rect;  /* as kept: inside the photo; thinned: x, y of the first pixel, w and h in kept pixels */
  int step;      /* photo pixels from one kept pixel to the next; 0 as 1 */
  float *rgb;    /* linear sRGB after the photo's profile, rect.h x rect.w x 3, row-major, unbounded */
  uint8_t *clip; /* rect.h x rect.w: a stored sample at its end (0, or the largest) */
} pt_patch;

/* Decodes the photo once and keeps n rectangles (they may overlap; each is cut to the photo).
 * arena     owns the pixels
 * Errors    PT_BAD_INPUT a rectangle wholly outside, PT_TOO_LARGE, PT_CORRUPT, PT_IO, PT_NO_MEMORY.
 *           A file that ends early is PT_CORRUPT when a wanted row is missing. */
pt_status pt_photo_patches(pt_photo *photo, const pt_rect *rects, size_t n, pt_arena *arena, pt_patch *out,
                           pt_error *err);

/* One rectangle by every step-th pixel of every step-th row: a look that is quick however large it is.
 * Errors  as pt_photo_patches, PT_BAD_INPUT a step below 1 */
pt_status pt_photo_patch_thinned(pt_photo *photo, pt_rect rect, int step, pt_arena *arena, pt_patch *out,
                                 pt_error *err);

/* A reduced sRGB picture for screens and reports, oriented, at most max_side wide and high. */
typedef struct pt_preview {
  int width, height;
  double scale; /* preview pixels per photo pixel */
  uint8_t *rgb; /* height x width x 3; owned by the arena */
} pt_preview;
pt_status pt_photo_preview(pt_photo *photo, int max_side, pt_arena *arena, pt_preview *out, pt_error *err);
/* The same of a part, cut to the photo.  Errors PT_BAD_INPUT a part wholly outside */
pt_status pt_photo_part(pt_photo *photo, pt_rect part, int max_side, pt_arena *arena, pt_preview *out,
                        pt_error *err);
/* JPEG bytes of a preview (quality 1..100); *out is free()d by the caller.  Errors PT_NO_MEMORY */
pt_status pt_preview_jpeg(const pt_preview *preview, int quality, uint8_t **out, size_t *n, pt_error *err);

/* ---- spools: a photo decoded once and laid out so that any part of it is read at once ---------------------
 *
 * A spool holds every pixel's linear light, its square root to 1/16000, and its clip flags, 8 bytes a pixel.
 * It is a file of this program on this machine, not a format to pass on. */

size_t pt_spool_bytes(const pt_photo_info *info);
/* Decodes the whole photo into memory (pt_spool_bytes of it, zeroed, aligned for any type; perhaps a mapped
 * file). A fill that failed leaves no valid spool. Errors PT_CORRUPT also when the file ends early */
pt_status pt_spool_fill(pt_photo *photo, void *memory, pt_error *err);
/* A spool as a photo: pixels within a hair of the photo's own, and no foreign bytes are decoded any more.
 * What the file holds is checked, so that whoever filled it need not be trusted. path  opened here; name
 * called so in messages.  Errors PT_NOT_FOUND, PT_CORRUPT, PT_IO, PT_NO_MEMORY */
pt_status pt_spool_open(const char *path, const char *name, const pt_photo_limits *limits, pt_photo **out,
                        pt_error *err);

#endif
