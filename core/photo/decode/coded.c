/* The pixels of JPEG and PNG, as their samples stand for light: how many, what light, which at their end. */
#include "photo/decode.h"

int dw__coded_samples(const dw_photo *photo) {
  switch (photo->pixel_kind) {
  case DW_PIXEL_GRAY:
    return 1;
  case DW_PIXEL_RGB:
    return 3;
  default:
    return 4;
  }
}

size_t dw__coded_bytes(const dw_photo *photo) {
  return (size_t)dw__coded_samples(photo) * (size_t)(photo->info.bits / 8);
}

void dw__coded_linear(const dw_photo *photo, const void *pixels, size_t n, float *rgb) {
  dw_profile_linear(photo->profile, pixels, n, rgb);
}

static uint8_t ends_of(unsigned lowest, unsigned highest, unsigned largest) {
  return (uint8_t)((highest == largest ? DW_CLIP_HIGH : 0) | (lowest == 0 ? DW_CLIP_LOW : 0));
}

/* Ink is not light: no ink at all is the brightest, full black ink the darkest. */
static uint8_t ends_of_ink(const uint8_t ink[4], unsigned none, unsigned full) {
  bool blank = ink[0] == none && ink[1] == none && ink[2] == none && ink[3] == none;
  return (uint8_t)((blank ? DW_CLIP_HIGH : 0) | (ink[3] == full ? DW_CLIP_LOW : 0));
}

#define LOWER(a, b) ((a) < (b) ? (a) : (b))
#define HIGHER(a, b) ((a) > (b) ? (a) : (b))
#define CLIP_ROW(type, largest)                                                                              \
  do {                                                                                                       \
    const type *p = pixels;                                                                                  \
    if (photo->pixel_kind == DW_PIXEL_GRAY)                                                                  \
      for (size_t i = 0; i < n; i++) clip[i] = ends_of(p[i], p[i], largest);                                 \
    else                                                                                                     \
      for (size_t i = 0; i < n; i++, p += 3)                                                                 \
        clip[i] = ends_of(LOWER(LOWER(p[0], p[1]), p[2]), HIGHER(HIGHER(p[0], p[1]), p[2]), largest);        \
  } while (0)

void dw__coded_clip(const dw_photo *photo, const void *pixels, size_t n, uint8_t *clip) {
  const uint8_t *ink = pixels;
  switch (photo->pixel_kind) {
  case DW_PIXEL_CMYK:
    for (size_t i = 0; i < n; i++, ink += 4) clip[i] = ends_of_ink(ink, 0, 255);
    break;
  case DW_PIXEL_CMYK_INVERTED:
    for (size_t i = 0; i < n; i++, ink += 4) clip[i] = ends_of_ink(ink, 255, 0);
    break;
  default:
    if (photo->info.bits == 16)
      CLIP_ROW(uint16_t, 65535);
    else
      CLIP_ROW(uint8_t, 255);
  }
}
