/* See-through read from baits that lie half over a black and half over a white strip. docs/bait.md#see-through */
#ifndef DROPWISE_READ_STRIPS_H
#define DROPWISE_READ_STRIPS_H

#include "dropwise/read_find.h"

typedef struct dw_see_layer {
  dw_reading black, white; /* as read over each strip */
  double ratio, doubt;     /* Y over black / Y over white, 0 clear .. 1 solid; one standard deviation */
} dw_see_layer;

typedef struct dw_see_bait {
  double x, y; /* where it crosses the strips' edge, photo pixels */
  size_t n;
  dw_see_layer layer[DW_BAIT_LAYERS_MAX]; /* back to belly */
} dw_see_bait;

typedef struct dw_strips {
  dw_photo_reading reading; /* path, photo, light, the card where one was found; no layers */
  size_t n;
  dw_see_bait bait[DW_BAITS_MAX];
  /* Of the baits with the usual number of layers: mean, with the doubt of the readings joined with what they
   * differ by; its own readings are empty. */
  dw_see_bait mean;
  dw_notes notes; /* what was left out */
} dw_strips;

/* out  large: on the heap; unchanged on error
 * Errors as dw_find_read; DW_NOT_FOUND no straight edge between black and white, or no bait that lies across */
dw_status dw_strips_read(const char *path, const dw_find_wish *wish, dw_strips *out, dw_error *err);
/* The ratio of two readings, and what their doubts make of it. */
void dw_see_ratio(dw_see_layer *layer);
/* As JSON (docs/file-formats.md#json): a new reference, or NULL when out of memory.  wish  names the layers */
json_t *dw_json_strips(const dw_strips *strips, const dw_find_wish *wish);

#endif
