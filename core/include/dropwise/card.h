/* The light: what a reference card, or one gray patch, says about how this photo bends color.
 * Method and figures: docs/color-model.md#light */
#ifndef DROPWISE_CARD_H
#define DROPWISE_CARD_H

#include "dropwise/color.h"
#include "dropwise/photo.h"

enum { DW_CARD_PATCHES_MAX = 320, DW_CARD_SIDE_MAX = 40 };

/* A card: rows x cols patches, row-major, first patch first. */
typedef struct dw_card {
  char title[64];
  size_t rows, cols;
  dw_lab lab[DW_CARD_PATCHES_MAX]; /* D50/2deg */
  char id[DW_CARD_PATCHES_MAX][8]; /* "A1": row letter, column number */
} dw_card;

/* The usual 24-patch chart of 18 colors and 6 grays, by name; static, NULL for any other name. "grid24-early"
 * and "grid24-late" are its editions before and since November 2014; with "grid24" dw_light_card takes the
 * one that the patches fit (dw_light_info.method_text then names the later one). Source beside the data. */
const dw_card *dw_card_named(const char *name);
#define DW_CARD_USUAL "grid24" /* where nobody says which */
/* A card described by CGATS.17 text (LittleCMS's parser): SAMPLE_ID plus LAB_* or XYZ_* (0..100 or 0..1) for
 * D50. Errors DW_NOT_FOUND, DW_BAD_INPUT (which line or field), DW_TOO_LARGE */
dw_status dw_card_load(const char *path, dw_card *out, dw_error *err);

/* Centers of the four corner patches: first patch, end of first row, last patch, start of last row; x, y
 * each. */
typedef struct dw_corners {
  double xy[8];
} dw_corners;
dw_status dw_corners_parse(const char *text, dw_corners *out, dw_error *err); /* "X1,Y1,...,Y4" */
void dw_corners_middle(const dw_corners *corners, double *x, double *y);

/* Where each patch is looked for: the middle of its cell, as a rectangle that holds it. out: rows * cols. */
dw_status dw_card_rects(const dw_card *card, const dw_corners *corners, const dw_photo_info *photo,
                        dw_rect *out, dw_error *err);
/* Outline of patch i as four points in photo pixels (for drawing the grid). */
dw_status dw_card_outline(const dw_card *card, const dw_corners *corners, size_t i, double xy[8],
                          dw_error *err);

typedef enum dw_light_method { DW_LIGHT_NONE, DW_LIGHT_GRAY, DW_LIGHT_CARD } dw_light_method;

typedef struct dw_fit_error {
  double mean, max; /* CIEDE2000 over the patches */
} dw_fit_error;

/* A fitted correction; opaque inside. */
typedef struct dw_light dw_light;

typedef struct dw_light_info {
  dw_light_method method;
  char method_text[24]; /* "none", "gray", "grid24", or the CGATS card's title */
  size_t patches;
  dw_fit_error residual;   /* card: over its patches, in the fit */
  dw_fit_error left_out;   /* card: each patch predicted from the others */
  double uncertainty_de00; /* what the light alone adds to a reading's doubt, typical color */
  dw_notes notes;
} dw_light_info;

/* The photo's numbers as they are, with a loud note. */
dw_status dw_light_none(dw_light **out, dw_error *err);
/* One gray region of known luminance factor Y (0..1): white balance and exposure.
 * rgb  n x 3 linear pixels of the gray, clip its n flags
 * Errors DW_REFUSED clipped, too dark, far from gray, glare; DW_TOO_FEW */
dw_status dw_light_gray(const float *rgb, const uint8_t *clip, size_t n, double gray_y, dw_light **out,
                        dw_error *err);
/* The card.  patches: rows * cols, as decoded for dw_card_rects, same order.
 * Errors DW_REFUSED what is wrong with the picture (which patch: clipped, glare, grays out of order, not
 * found where marked, mirrored); DW_NO_MEMORY */
dw_status dw_light_card(const dw_card *card, const dw_corners *corners, const dw_patch *patches,
                        dw_light **out, dw_error *err);
const dw_light_info *dw_light_info_get(const dw_light *light); /* borrowed */
/* Linear rows (n x 3) to XYZ D50 rows (n x 3); may be in place.
 * x, y  photo position of each pixel (n each) or NULL: used where the light was found to fall off over the
 * board. */
void dw_light_xyz(const dw_light *light, const float *rgb, const float *x, const float *y, size_t n,
                  float *xyz);
dw_lab dw_light_lab(const dw_light *light,
                    const double rgb[3]); /* a library user's one color, at the card's center */
/* The direction in linear rgb toward which gloss shifts a pixel: the light's own color, sum 3. */
void dw_light_white(const dw_light *light, double rgb[3]);
/* Expected CIEDE2000 error of a reading at this color from the light fit alone. */
double dw_light_uncertainty(const dw_light *light, dw_lab at);
/* How far an L* lies outside of what the light was fitted to: below the card's darkest patch (negative),
 * above its lightest; without a card above a perfect white. Else 0. */
double dw_light_beyond(const dw_light *light, double L);
void dw_light_free(dw_light *light);

#endif
