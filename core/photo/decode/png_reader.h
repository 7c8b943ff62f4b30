/* Inside photo/: one PNG decoder with its limits and error handling. */
#ifndef DROPWISE_PHOTO_DECODE_PNG_READER_H
#define DROPWISE_PHOTO_DECODE_PNG_READER_H

#include "photo/decode.h"
#include "photo/guard.h"

#include <png.h>

enum {
  PNG_CHUNK_BYTES_MAX = 8 << 20, /* of any chunk but the picture's own */
  PNG_CHUNKS_KEPT_MAX = 16
};

typedef struct dw__png {
  png_structp png;
  png_infop info;
  dw__guard guard;
  dw_photo *photo;
  const dw__job *job; /* NULL while only the header is read */
  dw__header *header; /* where the header goes, else NULL */
  dw_error *err;
  dw_status status;
  bool cut;           /* the file ended too early */
  unsigned checksums; /* chunks whose check sum has been reached */
  char warning[120];  /* the first one */
  uint8_t *line;      /* one row, of all columns */
  uint8_t *kept;      /* interlaced: the wanted rows, of all columns */
  bool delivered;     /* some row reached the job */
} dw__png;

/* Runs work on a fresh decoder at the file's begin, with the chunks before the picture read, and frees it. */
dw_status dw__png_run(dw__png *png, void (*work)(void *png));
_Noreturn void dw__png_stop(dw__png *png, dw_status status);

/* Work for dw__png_run: delivers png->job's rows. */
void dw__png_rows(void *png);
/* After damage that the job forgives: what had been decoded of an interlaced picture. */
void dw__png_deliver_kept(dw__png *png);

#endif
