/* Inside photo/: what the decoders (JPEG, PNG, HEIC) share with the parts that use them. */
#ifndef DROPWISE_PHOTO_DECODE_H
#define DROPWISE_PHOTO_DECODE_H

#include "dropwise/color.h"
#include "dropwise/photo.h"

/* first <= i < end */
typedef struct dw__span {
  int first, end;
} dw__span;

/* Every how many pixels and rows one is kept; halved  where that is 2 and more, a JPEG is decoded at half its size;
 * coded  8-bit codes are kept, where those are what the photo has */
typedef struct dw__thinning {
  int step;
  bool halved, coded;
} dw__thinning;

/* What is wanted of one decoding, in stored pixels (after the reduction). */
typedef struct dw__job {
  const dw__span *rows; /* disjoint, rising, not empty */
  size_t n_rows;
  dw__span columns;
  int reduce;       /* 1, 2, 4 or 8: JPEG delivers ceil(size / reduce); PNG knows only 1 */
  bool keep;        /* parts of the same are asked for next, at a reduction of 2 or more */
  bool forgiving;   /* damage becomes a note and ends the rows; else it is DW_CORRUPT */
  size_t max_bytes; /* of decoder memory */
  /* One wanted row, top down; samples begin at columns.first. */
  void (*row)(void *ctx, int y, const void *samples);
  void *ctx;
} dw__job;

/* What a header says beyond dw_photo_info. */
typedef struct dw__header {
  uint8_t *icc; /* owned: free() */
  size_t icc_bytes;
  dw_pixel_kind pixel_kind;
  bool srgb_named; /* the file itself says that it is sRGB */
  char title[64];  /* of a profile made from bare numbers, else "" */
} dw__header;

typedef struct dw__format {
  const char *name; /* as dw_photo_info.format */
  /* Fills photo->info (sizes, bits, kind, staged, orientation, taken) and *header, which the caller frees. */
  dw_status (*header)(dw_photo *photo, dw__header *header, dw_error *err);
  dw_status (*decode)(dw_photo *photo, const dw__job *job, dw_error *err);
  void (*close)(dw_photo *photo); /* frees photo->kept; or NULL */
  /* Of pixels as decode delivers them: bytes of one, linear light and DW_CLIP_ bits of n. */
  size_t (*pixel_bytes)(const dw_photo *photo);
  void (*linear)(const dw_photo *photo, const void *pixels, size_t n, float *rgb);
  void (*clip)(const dw_photo *photo, const void *pixels, size_t n, uint8_t *clip);
  int max_reduce;
} dw__format;

extern const dw__format dw__format_jpeg, dw__format_png, dw__format_heic, dw__format_spool;

/* The process that decodes a photo. */
typedef struct dw__decoder {
  int pid;     /* 0: none */
  int channel; /* while pid is not 0 */
} dw__decoder;

/* Decoded apart (decoder.pid), or by this process: then there are a file and a format. */
struct dw_photo {
  FILE *file;
  char *path;
  dw_photo_limits limits;
  dw_photo_info info;
  dw__decoder decoder;
  const dw__format *format;
  bool ended;               /* a JPEG's codes have been read to their end */
  void *kept;               /* the format's own */
  dw_profile *profile;      /* NULL: the format's light is linear already (a spool) */
  dw_pixel_kind pixel_kind; /* of the rows a decoder delivers */
};

/* Pixels of JPEG and PNG, as their decoders deliver them (aligned for their samples): samples and bytes of
 * one, linear light and DW_CLIP_ bits of n. */
int dw__coded_samples(const dw_photo *photo);
size_t dw__coded_bytes(const dw_photo *photo);
void dw__coded_linear(const dw_photo *photo, const void *pixels, size_t n, float *rgb);
void dw__coded_clip(const dw_photo *photo, const void *pixels, size_t n, uint8_t *clip);

/* Largest edge of any photo: what JPEG can hold, and what libpng accepts by default, whichever is more. */
enum { DW__EDGE_MAX = 1000000 };

/* Checks width x height against the limits; nothing has been allocated for them yet. */
dw_status dw__photo_check_size(const dw_photo *photo, double width, double height, dw_error *err);

/* What a photo's first bytes say it is: "JPEG", "PNG", "HEIC", or NULL. Enough to be sure: DW__SNIFF_BYTES.
 */
enum { DW__SNIFF_BYTES = 64 };
const char *dw__sniff(const uint8_t *bytes, size_t n);
/* Names what another file seems to be, in a sentence's words, or NULL. */
const char *dw__sniff_other(const uint8_t *bytes, size_t n);

/* EXIF block, with or without its "Exif\0\0": orientation, date, a note on what is broken. */
void dw__exif_read(dw_photo_info *info, const uint8_t *bytes, size_t n);

/* Opens a file for reading; name  for messages. A pipe or device could block or never end, so only regular
 * files are taken. *out  closed by the caller */
dw_status dw__photo_open_fd(const char *path, const char *name, int *out, dw_error *err);

/* A photo with its name and limits, nothing opened; NULL when memory is out. dw_photo_close frees it. */
dw_photo *dw__photo_new(const char *name, const dw_photo_limits *limits);

/* Decodes in this process: what the decoder's program does behind the seal, and tests without.
 * file  taken over in any case;  formats  NULL-terminated
 * Errors as dw_photo_open */
dw_status dw__photo_open_here(FILE *file, const char *name, const dw_photo_limits *limits,
                              const dw__format *const *formats, dw_photo **out, dw_error *err);

/* Cuts an area to the photo.  Errors DW_BAD_INPUT wholly outside */
dw_status dw__photo_cut(const dw_photo *photo, dw_rect rect, dw_rect *out, dw_error *err);

/* Opens photo->profile from the header: embedded, named, or sRGB with a note. */
dw_status dw__space_choose(dw_photo *photo, const dw__header *header, dw_error *err);

#endif
