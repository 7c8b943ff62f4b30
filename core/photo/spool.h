/* Spools: the whole photo as linear light in a file of our own, so that reading a part costs only that part.
 *
 * The square root is kept, not the light itself: its steps are then about as even to the eye as those of an
 * encoded picture, and finer than those of 12 bits. Rows lie as the photo stores them; orientation is applied
 * by the readers, as for any other photo. */
#ifndef DROPWISE_PHOTO_SPOOL_H
#define DROPWISE_PHOTO_SPOOL_H

#include "photo/decode.h"

enum { DW__SPOOL_HEAD_BYTES = 4096 };
#define DW__ROOT_STEPS 16000.0f /* a root of 1; roots up to 2.04, light up to 4.19, fit 16 bits */

/* One pixel: signed square roots of its light, and its clip flags. */
typedef struct dw__spooled {
  int16_t root[3];
  uint16_t clip;
} dw__spooled;

typedef struct dw__spool_head {
  char mark[16]; /* written last: a spool without it was not finished */
  dw_photo_info info;
} dw__spool_head;
_Static_assert(sizeof(dw__spool_head) <= DW__SPOOL_HEAD_BYTES, "a spool's head outgrew its room");
extern const char dw__spool_mark[16];

/* dw_spool_fill for a photo of this process; memory  dw_spool_bytes, zeroed */
dw_status dw__spool_fill(dw_photo *photo, void *memory, dw_error *err);

#endif
