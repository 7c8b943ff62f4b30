/* HEIC files for the tests, written with libheif and the encoder that it brings. */
#ifndef DROPWISE_TESTS_HEIC_WRITE_H
#define DROPWISE_TESTS_HEIC_WRITE_H

#include "pictures.h"

typedef struct heic_how {
  int bits;             /* 8, 10 */
  int orientation;      /* of the file's own rotation and mirroring, numbered as in EXIF; 0: none */
  int exif_orientation; /* 0: no EXIF */
  const void *icc;
  size_t icc_bytes;
  int primaries, transfer; /* codes of ITU-T H.273; 0: none are written */
} heic_how;

/* p  RGB, 8 bits, or 16 of which the upper ones are kept. False: this libheif brings no encoder. */
bool heic_write(const char *path, const picture *p, const heic_how *how);

#endif
