/* Inside photo/: what the two decoders (JPEG, PNG) share with the parts that use them. */
#ifndef POURTONE_PHOTO_DECODE_H
#define POURTONE_PHOTO_DECODE_H

#include "pourtone/color.h"
#include "pourtone/photo.h"

/* first <= i < end */
typedef struct pt__span {
  int first, end;
} pt__span;

/* What is wanted of one decoding, in stored pixels (after the reduction). */
typedef struct pt__job {
  const pt__span *rows; /* disjoint, rising, not empty */
  size_t n_rows;
  pt__span columns;
  int reduce;       /* 1, 2, 4 or 8: JPEG delivers ceil(size / reduce); PNG knows only 1 */
  bool forgiving;   /* damage becomes a note and ends the rows; else it is PT_CORRUPT */
  size_t max_bytes; /* of decoder memory */
  /* One wanted row, top down; samples begin at columns.first. */
  void (*row)(void *ctx, int y, const void *samples);
  void *ctx;
} pt__job;

/* What a header says beyond pt_photo_info. */
typedef struct pt__header {
  uint8_t *icc; /* owned: free() */
  size_t icc_bytes;
  pt_pixel_kind pixel_kind;
  bool srgb_named; /* the file itself says that it is sRGB */
  char title[64];  /* of a profile made from bare numbers, else "" */
} pt__header;

typedef struct pt__format {
  /* Fills photo->info (sizes, bits, kind, staged, orientation, taken) and *header, which the caller frees. */
  pt_status (*header)(pt_photo *photo, pt__header *header, pt_error *err);
  pt_status (*decode)(pt_photo *photo, const pt__job *job, pt_error *err);
  /* Of pixels as decode delivers them: bytes of one, linear light and PT_CLIP_ bits of n. */
  size_t (*pixel_bytes)(const pt_photo *photo);
  void (*linear)(const pt_photo *photo, const void *pixels, size_t n, float *rgb);
  void (*clip)(const pt_photo *photo, const void *pixels, size_t n, uint8_t *clip);
  int max_reduce;
} pt__format;

extern const pt__format pt__format_jpeg, pt__format_png, pt__format_spool;

struct pt_photo {
  FILE *file;
  char *path;
  pt_photo_limits limits;
  pt_photo_info info;
  const pt__format *format;
  pt_profile *profile;      /* NULL: the format's light is linear already (a spool) */
  pt_pixel_kind pixel_kind; /* of the rows a decoder delivers */
};

/* Pixels of JPEG and PNG, as their decoders deliver them (aligned for their samples): samples and bytes of
 * one, linear light and PT_CLIP_ bits of n. */
int pt__coded_samples(const pt_photo *photo);
size_t pt__coded_bytes(const pt_photo *photo);
void pt__coded_linear(const pt_photo *photo, const void *pixels, size_t n, float *rgb);
void pt__coded_clip(const pt_photo *photo, const void *pixels, size_t n, uint8_t *clip);

/* Largest edge of any photo: what JPEG can hold, and what libpng accepts by default, whichever is more. */
enum { PT__EDGE_MAX = 1000000 };

/* Checks width x height against the limits; nothing has been allocated for them yet. */
pt_status pt__photo_check_size(const pt_photo *photo, double width, double height, pt_error *err);

/* Names what a file that is neither JPEG nor PNG seems to be, in a sentence's words, or NULL. */
const char *pt__sniff_other(const uint8_t *bytes, size_t n);

/* EXIF block, with or without its "Exif\0\0": orientation, date, a note on what is broken. */
void pt__exif_read(pt_photo_info *info, const uint8_t *bytes, size_t n);

/* Opens photo->file. A pipe or device could block or never end, so only regular files are taken. */
pt_status pt__photo_open_file(pt_photo *photo, const char *path, pt_error *err);

/* Cuts an area to the photo.  Errors PT_BAD_INPUT wholly outside */
pt_status pt__photo_cut(const pt_photo *photo, pt_rect rect, pt_rect *out, pt_error *err);

/* Opens photo->profile from the header: embedded, named, or sRGB with a note. */
pt_status pt__space_choose(pt_photo *photo, const pt__header *header, pt_error *err);

#endif
