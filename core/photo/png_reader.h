/* Inside photo/: one PNG decoder with its limits and error handling. */
#ifndef POURTONE_PHOTO_PNG_READER_H
#define POURTONE_PHOTO_PNG_READER_H

#include "photo/decode.h"
#include "photo/guard.h"

#include <png.h>

enum {
  PNG_CHUNK_BYTES_MAX = 8 << 20, /* of any chunk but the picture's own */
  PNG_CHUNKS_KEPT_MAX = 16
};

typedef struct pt__png {
  png_structp png;
  png_infop info;
  pt__guard guard;
  pt_photo *photo;
  const pt__job *job; /* NULL while only the header is read */
  pt__header *header; /* where the header goes, else NULL */
  pt_error *err;
  pt_status status;
  bool cut;           /* the file ended too early */
  unsigned checksums; /* chunks whose check sum has been reached */
  char warning[120];  /* the first one */
  uint8_t *line;      /* one row, of all columns */
  uint8_t *kept;      /* interlaced: the wanted rows, of all columns */
  bool delivered;     /* some row reached the job */
} pt__png;

/* Runs work on a fresh decoder at the file's begin, with the chunks before the picture read, and frees it. */
pt_status pt__png_run(pt__png *png, void (*work)(void *png));
_Noreturn void pt__png_stop(pt__png *png, pt_status status);

/* Work for pt__png_run: delivers png->job's rows. */
void pt__png_rows(void *png);
/* After damage that the job forgives: what had been decoded of an interlaced picture. */
void pt__png_deliver_kept(pt__png *png);

#endif
