/* Pictures for the photo tests: made here, written with libjpeg and libpng, read back with them whole. */
#ifndef DROPWISE_TESTS_PICTURES_H
#define DROPWISE_TESTS_PICTURES_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "dropwise/photo.h"

/* h x w x samples; 16 bit in native byte order. */
typedef struct picture {
  int w, h, samples, bits;
  uint8_t *bytes;
} picture;

/* Gradients, edges and texture in every channel. free() bytes. */
picture picture_make(int w, int h, int samples, int bits);
/* As an image program turns a picture for EXIF orientation 1 to 8. */
picture picture_turned(const picture *p, int orientation);
size_t picture_pixel_bytes(const picture *p);

/* A fresh folder, removed with all its files by folder_remove. */
int folder_make(void **state);
int folder_remove(void **state);
/* "<folder>/name" in one of a few static rooms. */
const char *in_folder(void **state, const char *name);

typedef struct jpeg_how {
  int h, v; /* sampling of the first component; 0 means 1 */
  int progressive, arithmetic, one_component_scans, restart_rows;
  int scans; /* over 0: a progressive file of this many scans, one coefficient each; up to 190 */
  int space; /* J_COLOR_SPACE stored; 0: by samples */
  int no_adobe;
  int orientation; /* 0: no EXIF */
  const char *taken;
  const void *icc;
  size_t icc_bytes;
  int quality; /* 0: 90 */
} jpeg_how;
void jpeg_write(const char *path, const picture *p, const jpeg_how *how);
/* The whole file, slow integer transform, smooth upsampling; reduce 1, 2, 4, 8. */
picture jpeg_read(const char *path, int samples, int reduce);

typedef struct png_how {
  int type;  /* PNG_COLOR_TYPE_* */
  int depth; /* 1, 2, 4, 8, 16; samples below 8 bits are taken from the low bits of each byte */
  int interlaced, transparent;
  const void *icc;
  size_t icc_bytes;
  double gamma;        /* gAMA when over 0 */
  int srgb;            /* sRGB chunk */
  const uint8_t *cicp; /* cICP chunk of 4 bytes */
  const double *chroma;
  int orientation;
} png_how;
void png_write(const char *path, const picture *p, const png_how *how);

/* A TIFF block with orientation in IFD 0 and DateTimeOriginal (taken, or a fixed day); returns its bytes. */
size_t exif_make(uint8_t out[80], int orientation, const char *taken);

/* Room for more scans than any real photo has. */
enum { JPEG_TEST_SCANS_MAX = 190 };

/* Whole files. */
uint8_t *bytes_read(const char *path, size_t *n);
void bytes_write(const char *path, const void *bytes, size_t n);

/* dw_photo_open without a decoder's process: everything happens, and can be counted, in this one. */
dw_status photo_open_here(const char *path, const dw_photo_limits *limits, dw_photo **out, dw_error *err);
/* Opens, or fails the test with its text. */
dw_photo *photo_open_ok(const char *path);
/* Asserts that dw_photo_patches gives exactly these pixels, turned linear by `profile`'s photo itself. */
void assert_patches_equal(const char *path, const picture *whole, const dw_rect *rects, size_t n,
                          const void *icc, size_t icc_bytes, int pixel_kind);
bool has_note(const dw_photo *photo, const char *part);

#endif
