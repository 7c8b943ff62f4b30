/* The light: what a reference card, or one gray patch, says about how this photo bends color.
 * Method and figures: docs/color-model.md#light */
#ifndef POURTONE_CARD_H
#define POURTONE_CARD_H

#include "pourtone/color.h"
#include "pourtone/photo.h"

enum { PT_CARD_PATCHES_MAX = 320, PT_CARD_SIDE_MAX = 40 };

/* A card: rows x cols patches, row-major, first patch first. */
typedef struct pt_card {
  char title[64];
  size_t rows, cols;
  pt_lab lab[PT_CARD_PATCHES_MAX]; /* D50/2deg */
  char id[PT_CARD_PATCHES_MAX][8]; /* "A1": row letter, column number */
} pt_card;

/* The usual 24-patch chart of 18 colors and 6 grays, by name; static, NULL for any other name. "grid24-2005"
 * and "grid24-2014" are its editions before and since November 2014; with "grid24" pt_light_card takes the
 * one that the patches fit (pt_light_info.method_text then names the later one). Source beside the data. */
const pt_card *pt_card_named(const char *name);
/* A card described by CGATS.17 text (LittleCMS's parser): SAMPLE_ID plus LAB_* or XYZ_* (0..100 or 0..1) for
 * D50. Errors PT_NOT_FOUND, PT_BAD_INPUT (which line or field), PT_TOO_LARGE */
pt_status pt_card_load(const char *path, pt_card *out, pt_error *err);

/* Centers of the four corner patches: first patch, end of first row, last patch, start of last row; x, y
 * each. */
typedef struct pt_corners {
  double xy[8];
} pt_corners;
pt_status pt_corners_parse(const char *text, pt_corners *out, pt_error *err); /* "X1,Y1,...,Y4" */

/* Where each patch is looked for: the middle of its cell, as a rectangle that holds it. out: rows * cols. */
pt_status pt_card_rects(const pt_card *card, const pt_corners *corners, const pt_photo_info *photo,
                        pt_rect *out, pt_error *err);
/* Outline of patch i as four points in photo pixels (for drawing the grid). */
pt_status pt_card_outline(const pt_card *card, const pt_corners *corners, size_t i, double xy[8],
                          pt_error *err);

typedef enum pt_light_method { PT_LIGHT_NONE, PT_LIGHT_GRAY, PT_LIGHT_CARD } pt_light_method;

typedef struct pt_fit_error {
  double mean, max; /* CIEDE2000 over the patches */
} pt_fit_error;

/* A fitted correction; opaque inside. */
typedef struct pt_light pt_light;

typedef struct pt_light_info {
  pt_light_method method;
  char method_text[24]; /* "none", "gray", "grid24", or the CGATS card's title */
  size_t patches;
  pt_fit_error residual;   /* card: over its patches, in the fit */
  pt_fit_error left_out;   /* card: each patch predicted from the others */
  double uncertainty_de00; /* what the light alone adds to a reading's doubt, typical color */
  pt_notes notes;
} pt_light_info;

/* The photo's numbers as they are, with a loud note. */
pt_status pt_light_none(pt_light **out, pt_error *err);
/* One gray region of known luminance factor Y (0..1): white balance and exposure.
 * rgb  n x 3 linear pixels of the gray, clip its n flags
 * Errors PT_REFUSED clipped, too dark, far from gray, glare; PT_TOO_FEW */
pt_status pt_light_gray(const float *rgb, const uint8_t *clip, size_t n, double gray_y, pt_light **out,
                        pt_error *err);
/* The card.  patches: rows * cols, as decoded for pt_card_rects, same order.
 * Errors PT_REFUSED what is wrong with the picture (which patch: clipped, glare, grays out of order, not
 * found where marked, mirrored); PT_NO_MEMORY */
pt_status pt_light_card(const pt_card *card, const pt_corners *corners, const pt_patch *patches,
                        pt_light **out, pt_error *err);
const pt_light_info *pt_light_info_get(const pt_light *light); /* borrowed */
/* Linear rows (n x 3) to XYZ D50 rows (n x 3); may be in place.
 * x, y  photo position of each pixel (n each) or NULL: used where the light was found to fall off over the
 * board. */
void pt_light_xyz(const pt_light *light, const float *rgb, const float *x, const float *y, size_t n,
                  float *xyz);
pt_lab pt_light_lab(const pt_light *light,
                    const double rgb[3]); /* a library user's one color, at the card's center */
/* The direction in linear rgb toward which gloss shifts a pixel: the light's own color, sum 3. */
void pt_light_white(const pt_light *light, double rgb[3]);
/* Expected CIEDE2000 error of a reading at this color from the light fit alone. */
double pt_light_uncertainty(const pt_light *light, pt_lab at);
/* How far an L* lies outside of what the light was fitted to: below the card's darkest patch (negative),
 * above its lightest; without a card above a perfect white. Else 0. */
double pt_light_beyond(const pt_light *light, double L);
void pt_light_free(pt_light *light);

#endif
