/* Swirls: two or three colors without order in one bait; the share of each, its color, its spread.
 * docs/effects.md#swirls */
#ifndef DROPWISE_READ_SWIRL_H
#define DROPWISE_READ_SWIRL_H

#include "dropwise/read_find.h"

enum { DW_SWIRL_COLORS_MAX = 3 };

typedef struct dw_swirl_color {
  double share, share_doubt; /* of the area, blends counted by their parts; a swirl's shares sum to 1 */
  dw_lab lab;
  double uncertainty_de00; /* of lab, one standard deviation, light included */
  double spread_de00;      /* typical CIEDE2000 of a place of this color from lab */
} dw_swirl_color;

typedef struct dw_swirl {
  size_t n;                                  /* 1 where the area is of one color */
  dw_swirl_color color[DW_SWIRL_COLORS_MAX]; /* the largest share first */
  double blended;                            /* share of the area on the way between two colors */
  double aside;                              /* of the pixels: gloss, specks, clipped */
  size_t pixels;
  dw_notes notes;
} dw_swirl;

/* Puts the colors in the order of n targets, n the swirl's number of colors: that in which they differ least from
 * them over all. */
void dw_swirl_order(dw_swirl *swirl, const dw_lab *targets, size_t n);

typedef struct dw_swirl_bait {
  char name[DW_LAYER_NAME_ROOM]; /* "bait 1", or the mark's name */
  dw_shape shape;                /* what was read: the body without its edge, or the mark's */
  dw_swirl swirl;
} dw_swirl_bait;

typedef struct dw_swirls {
  dw_photo_reading reading; /* path, photo, light, the card where one was used; no layers */
  size_t n;
  dw_swirl_bait bait[DW_BAITS_MAX];
  dw_swirl mean; /* over the baits, with the doubt of the readings joined with what they differ by */
  dw_notes notes;
} dw_swirls;

/* Reads each bait of a photo as a swirl of the same plastics: every bait found, or where marks are given each marked area.
 * marks    the areas and their light; NULL: no area is marked, the wish says what is looked for, and in which light;
 *          without an area: that light is the wish's
 * colors   2 or 3; 0: as many as the areas show, perhaps one
 * targets  n of them: the colors are as many, in their order, whatever `colors` is; n 0: none
 * out      large: on the heap; unchanged on error
 * Errors   as dw_find_read and dw_flow_light; DW_NOT_FOUND no bait, DW_BAD_INPUT colors out of range, DW_TOO_FEW hardly
 *          any usable pixel */
dw_status dw_swirls_read(const char *path, const dw_marks *marks, const dw_find_wish *wish, size_t colors,
                         const dw_lab *targets, size_t n, dw_swirls *out, dw_error *err);
/* The same, and every bait as a photo reading of its own, ready to be kept: its layers are the wish's colors, each
 * with its share, and its mark is the area that was read.
 * wish   a swirl's, with names and targets
 * out    an array of n, dw_found_photos_free
 * notes  what a person must know of it; may be NULL */
dw_status dw_swirl_photos(const char *path, const dw_marks *marks, const dw_find_wish *wish,
                          dw_read_photo **out, size_t *n, dw_notes *notes, dw_error *err);
/* As JSON (docs/file-formats.md#json): a new reference, or NULL when out of memory.
 * names, targets  as many as the swirl has colors, or NULL */
json_t *dw_json_swirls(const dw_swirls *swirls, const char *const *names, const dw_lab *targets);

#endif
