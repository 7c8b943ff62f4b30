/* A photo read without a mark: the card and every bait found in it. docs/bait.md */
#ifndef DROPWISE_READ_FIND_H
#define DROPWISE_READ_FIND_H

#include "dropwise/bait.h"
#include "dropwise/read.h"

typedef struct dw_found {
  dw_photo_reading reading; /* path, photo, light, and the card where one was found; no layers */
  dw_baits baits;           /* owned by the arena */
} dw_found;

/* card_set  "grid24" or a CGATS file: which card is looked for
 * rules     its card is filled in here
 * out       large: on the heap; unchanged on error.  No card and no bait are no errors: the light's and the
 *           baits' notes say so
 * Errors    of photo, card's file and bait */
dw_status dw_find_read(const char *path, const char *card_set, const dw_bait_rules *rules, dw_arena *arena,
                       dw_found *out, dw_error *err);

/* The same in a photo that is open, perhaps a spool.
 * marks      which card is looked for; where its method says what the light is, that is taken instead.  The card
 *            that was found is marked in it
 * max_bytes  of pixels held */
dw_status dw_find_in(dw_photo *photo, dw_marks *marks, const dw_bait_rules *rules, size_t max_bytes,
                     dw_arena *arena, dw_found *out, dw_error *err);

/* What layer i of n is called: "back", "middle", "belly"; static. */
const char *dw_bait_layer_name(size_t i, size_t n);
/* As JSON (docs/file-formats.md#json): a new reference, or NULL when out of memory. */
json_t *dw_json_found(const dw_found *found);

#endif
