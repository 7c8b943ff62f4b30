/* Drops of several cups side by side on a white table, read from a photo in which none is marked. docs/drizzle.md */
#ifndef DROPWISE_READ_DRIZZLE_H
#define DROPWISE_READ_DRIZZLE_H

#include "dropwise/read.h"

enum { DW_DRIZZLE_MAX = 12 }; /* drops */

typedef struct dw_drizzle_wish {
  const char *card_set;             /* "grid24" or a CGATS file */
  const dw_marks *light;            /* as dw_find_wish's */
  size_t n;                         /* how many drops lie there; 0: as many as are found */
  const char *name[DW_DRIZZLE_MAX]; /* n: of the cups, as their drops lie, from the left or from the top */
} dw_drizzle_wish;

typedef struct dw_drizzle {
  dw_photo_reading
      reading;  /* a layer a drop: the color of its film in its even middle; "drop 1" without names.  What
                               the light lacks from the card to the drop, by the table beside both, is made up for */
  dw_lab table; /* as lit where the card lies */
  double reflectance; /* of the table, 0..1 */
  dw_notes notes;
} dw_drizzle;

/* out      large: on the heap; unchanged on error
 * Errors   of photo, card's file and region; DW_NOT_FOUND no drops on a white table, or another number of them: what
 *          was found instead, one sentence */
dw_status dw_drizzle_read(const char *path, const dw_drizzle_wish *wish, dw_drizzle *out, dw_error *err);
/* The same in a photo that is open, perhaps a spool.  marks, max_bytes  as dw_find_in; the drops are marked, too */
dw_status dw_drizzle_in(dw_photo *photo, dw_marks *marks, const dw_drizzle_wish *wish, size_t max_bytes,
                        dw_drizzle *out, dw_error *err);
/* dw_drizzle_read, and the photo ready to be kept: its layers are the drops.  photo  dw_read_photo_free, on error too */
dw_status dw_drizzle_photo(const char *path, const dw_drizzle_wish *wish, dw_drizzle *out,
                           dw_read_photo *photo, dw_error *err);

#endif
