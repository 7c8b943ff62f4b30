/* One connected thing on the table: its form, where drops in it meet, and whether it is one. */
#ifndef READ_DROPS_BLOB_H
#define READ_DROPS_BLOB_H

#include "bait/view.h"

typedef struct dw__blob {
  uint32_t *pixel; /* n places of the view */
  size_t n;
  double x, y, ux, uy, length, width; /* middle, main axis, four deviations along and across it */
} dw__blob;

/* Room for the work on blobs: as many as the view has pixels, each; rows 4 x its height. */
typedef struct dw__blob_room {
  const dw__view *view;
  uint32_t *sorted;
  uint16_t *depth;
  float *channel;
  double *rows;
} dw__blob_room;

/* The largest circle within a blob, pixels of the view. */
typedef struct dw__circle {
  double x, y, radius;
} dw__circle;

enum { DW__PIECES_MAX = 8 };

dw_status dw__blob_room_take(const dw__view *view, dw__blob_room *out, dw_error *err);
/* Parts a blob where drops meet; its pixels are put in order.  Returns how many pieces, 1 and more; each is measured. */
int dw__blob_part(const dw__blob_room *room, dw__blob *whole, dw__blob piece[DW__PIECES_MAX]);
dw__circle dw__blob_circle(const dw__blob_room *room, const dw__blob *blob);
/* Why it is no drop, words that follow "what lies there"; NULL for a drop.  Static. */
const char *dw__blob_no_drop(const dw__blob_room *room, const dw__blob *blob, const dw__circle *circle);

#endif
