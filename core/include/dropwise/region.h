/* Regions: marked areas of a photo and the color of the plastic in them.
 * Method: docs/color-model.md#regions */
#ifndef DROPWISE_REGION_H
#define DROPWISE_REGION_H

#include "dropwise/card.h"

enum { DW_SHAPE_POINTS_MAX = 512, DW_SHAPE_TEXT_MAX = 40 * DW_SHAPE_POINTS_MAX };
typedef enum dw_shape_kind { DW_SHAPE_RECT, DW_SHAPE_ELLIPSE, DW_SHAPE_POLY } dw_shape_kind;
/* Photo pixels. rect: xy = x, y, w, h.  ellipse: cx, cy, rx, ry.  poly: n points, even-odd filling. */
typedef struct dw_shape {
  dw_shape_kind kind;
  size_t n; /* points of a poly */
  double xy[2 * DW_SHAPE_POINTS_MAX];
} dw_shape;
/* "rect:X,Y,WxH", "ellipse:CX,CY,RXxRY", "poly:X,Y;X,Y;...".  DW_USAGE with the text at fault. */
dw_status dw_shape_parse(const char *text, dw_shape *out, dw_error *err);
/* The same text back, at 10 digits; DW_SHAPE_TEXT_MAX always suffices, "" when room does not. */
void dw_shape_format(const dw_shape *shape, char *out, size_t room);
/* Smallest pixel rectangle that holds it, cut to the photo; DW_BAD_INPUT when wholly outside. */
dw_status dw_shape_bounds(const dw_shape *shape, const dw_photo_info *photo, dw_rect *out, dw_error *err);
/* mask: rect.h x rect.w, 1 where the pixel's center lies inside. */
void dw_shape_mask(const dw_shape *shape, const dw_rect *rect, uint8_t *mask);

/* What a pixel shows beside its surroundings; the bench draws these.  A color that changes smoothly is KEPT.
 */
typedef enum dw_pixel_class {
  DW_PIXEL_OUTSIDE,
  DW_PIXEL_KEPT,
  DW_PIXEL_GLOSS,
  DW_PIXEL_FLAKE,
  DW_PIXEL_SHADOW,
  DW_PIXEL_CLIPPED
} dw_pixel_class;

typedef struct dw_shares {
  double kept, gloss, flake, shadow, clipped; /* of the region's pixels, sum 1 */
} dw_shares;

/* Its specks' own color; what the lens mixed with the plastic is left out. */
typedef struct dw_flake {
  size_t pixels; /* that tell it; 0: too few, and the rest says nothing */
  dw_lab lab;    /* mean in linear light */
  double uncertainty_de00;
} dw_flake;

typedef struct dw_reading {
  dw_lab lab; /* robust center of the plastic itself */
  dw_lch lch;
  double uncertainty_de00; /* of lab, one standard deviation: spread, count and light combined */
  double spread_de00;      /* typical CIEDE2000 of a kept pixel from the center */
  size_t pixels;           /* in the region */
  dw_shares shares;
  dw_flake flake;
  dw_notes notes;
} dw_reading;

/* Robust color of one region.
 * patch   its pixels (linear), mask as dw_shape_mask gives for patch->rect
 * classes rect.h x rect.w of dw_pixel_class, or NULL
 * out     unchanged on error
 * Errors  DW_TOO_FEW below 50 kept pixels; DW_NO_MEMORY
 * Thread-safe for distinct out and err. */
dw_status dw_region_measure(const dw_patch *patch, const uint8_t *mask, const dw_light *light,
                            dw_reading *out, uint8_t *classes, dw_error *err);

/* Mean of several readings of the same thing, with the larger of their own and their mutual uncertainty. */
dw_status dw_reading_mean(const dw_reading *readings, size_t n, dw_reading *out, dw_error *err);

#endif
