/* The pixels of marked rectangles: one decoding, each wanted row turned linear and put where it belongs. */
#ifndef DROPWISE_PHOTO_PATCHES_H
#define DROPWISE_PHOTO_PATCHES_H

#include "photo/decode.h"

/* Rectangles cut to the photo, and where their pixels lie in one block of memory. The decoder and the process
 * that asked it both work this out from the same rectangles. */
typedef struct dw__patches dw__patches;

/* Errors DW_BAD_INPUT a rectangle wholly outside, DW_TOO_LARGE, DW_NO_MEMORY */
dw_status dw__patches_new(const dw_photo *photo, const dw_rect *rects, size_t n, dw__thinning thin,
                          dw__patches **out, dw_error *err);
void dw__patches_free(dw__patches *patches);
size_t dw__patches_bytes(const dw__patches *patches); /* of the block */
void dw__patches_place(dw__patches *patches, void *memory);
/* Decodes into the block; for a photo of this process. */
dw_status dw__patches_fill(dw__patches *patches, dw_photo *photo, dw_error *err);
/* Whether the block holds what was asked for: where codes were, a photo may not have them, and it holds nothing. */
bool dw__patches_filled(const dw__patches *patches);
const dw_patch *dw__patches_get(const dw__patches *patches, size_t i); /* once placed; borrowed */

/* Where the block begins in the memory of a request for n rectangles, behind these. */
static inline size_t dw__patches_offset(size_t n) {
  return (n * sizeof(dw_rect) + 15) / 16 * 16;
}

#endif
