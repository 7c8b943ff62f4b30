/* A photo read without a mark: the card and every bait found in it. docs/bait.md */
#ifndef DROPWISE_READ_FIND_H
#define DROPWISE_READ_FIND_H

#include "dropwise/bait.h"
#include "dropwise/read.h"

typedef struct dw_found {
  dw_photo_reading reading; /* path, photo, light, and the card where one was found; no layers */
  dw_baits baits;           /* owned by the arena */
} dw_found;

/* What is looked for: the card, unless the light is given, and baits, whose layers are to be these. */
typedef struct dw_find_wish {
  const char *card_set; /* "grid24" or a CGATS file */
  const dw_marks
      *light; /* the card or gray that is marked in the photo; NULL, or method none: the card is looked for.
                            Its layers don't count */
  dw_bait_rules rules;                  /* its card is filled in by the search */
  size_t n;                             /* names; 0: those of dw_bait_layer_name */
  const char *name[DW_BAIT_LAYERS_MAX]; /* of the layers, back to belly; n is then rules.layers, too */
  double card_mm; /* from the middle of the card's first patch to that of the last in its row; 0: not known */
  double bait_mm; /* height of each bait's body at its highest; goes before the card; 0: not known */
  bool swirl;     /* they are the n colors of a swirl, in the order of rules.target */
} dw_find_wish;

/* out       large: on the heap; unchanged on error.  No card and no bait are no errors: the light's and the
 *           baits' notes say so
 * Errors    of photo, card's file and bait; of a given light as dw_flow_light */
dw_status dw_find_read(const char *path, const dw_find_wish *wish, dw_arena *arena, dw_found *out,
                       dw_error *err);

/* The same in a photo that is open, perhaps a spool.
 * marks      which card is looked for; where its method says what the light is, that is taken instead.  The
 *            card that was found is marked in it
 * max_bytes  of pixels held */
dw_status dw_find_in(dw_photo *photo, dw_marks *marks, const dw_bait_rules *rules, size_t max_bytes,
                     dw_arena *arena, dw_found *out, dw_error *err);

/* dw_find_read, and every bait found in the photo as a photo reading of its own, ready to be kept: the light as given
 * or found, the layers' bands as its marks, so that they can be corrected by hand.
 * found  what dw_find_read gives, without baits of another number of layers than is wished
 * out    an array of n, dw_found_photos_free
 * notes  what a person must know of it (which side is the back, what was left out); may be NULL
 * Errors as dw_find_read; DW_NOT_FOUND no bait: why, and how layers are marked by hand */
dw_status dw_found_photos(const char *path, const dw_find_wish *wish, dw_arena *arena, dw_found *found,
                          dw_read_photo **out, size_t *n, dw_notes *notes, dw_error *err);
/* The light, as given or found, and every bait's layers as marks: "back" of a single bait, else "back 1", "back 2" ...; as many as
 * marks have room for.  out  large */
void dw_found_marks(const dw_found *found, const dw_find_wish *wish, dw_marks *out);
void dw_found_photos_free(dw_read_photo *photos, size_t n);
/* The mean of readings of one photo that have the same layers, each layer with the doubt of its readings
 * joined with what they differ by.  out  large: on the heap.  Errors DW_NO_MEMORY */
dw_status dw_photos_join(const dw_read_photo *photos, size_t n, dw_photo_reading *out, dw_error *err);

/* How large a bait's body is. */
typedef struct dw_bait_size {
  double length_mm, height_mm; /* along its axis, and at its highest */
  double blend_mm[DW_BAIT_LAYERS_MAX - 1];
} dw_bait_size;
/* By the height that the wish states, or by the width of the photo's card, which lies as flat on the board.
 * wish   may be NULL;  bait  of found
 * False where neither is known; out is then unchanged */
bool dw_bait_size_get(const dw_found *found, const dw_find_wish *wish, const dw_bait *bait,
                      dw_bait_size *out);

/* What layer i of n is called: "back", "middle", "belly"; static. */
const char *dw_bait_layer_name(size_t i, size_t n);
/* The same, or as wished where there are as many; lives as long as the wish.  wish  may be NULL */
const char *dw_find_layer_name(const dw_find_wish *wish, size_t i, size_t n);
/* As JSON (docs/file-formats.md#json): a new reference, or NULL when out of memory.  wish  names the layers; may be
 * NULL */
json_t *dw_json_found(const dw_found *found, const dw_find_wish *wish);

#endif
