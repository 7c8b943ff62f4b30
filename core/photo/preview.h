/* A reduced picture of a photo or a part, for screens and reports. Averages are of linear light, so that fine
 * light and dark texture keeps its brightness. */
#ifndef DROPWISE_PHOTO_PREVIEW_H
#define DROPWISE_PHOTO_PREVIEW_H

#include "photo/decode.h"

enum { DW__VIEW_SIDE_MAX = 16384 };

typedef struct dw__view {
  dw_rect part; /* oriented, cut to the photo */
  int width, height;
  double scale;
  bool keep; /* parts of the photo are asked for next, halved */
} dw__view;

/* Errors DW_BAD_INPUT a part wholly outside, or a side that can't be */
dw_status dw__view_plan(const dw_photo *photo, dw_rect part, int max_side, dw__view *out, dw_error *err);
size_t dw__view_bytes(const dw__view *view);
/* Decodes into rgb (dw__view_bytes); for a photo of this process. */
dw_status dw__view_fill(dw_photo *photo, const dw__view *view, uint8_t *rgb, dw_error *err);

#endif
