/* Regions: marked areas of a photo and the color of the plastic in them.
 * Method: docs/color-model.md#regions */
#ifndef POURTONE_REGION_H
#define POURTONE_REGION_H

#include "pourtone/card.h"

enum { PT_SHAPE_POINTS_MAX = 512, PT_SHAPE_TEXT_MAX = 40 * PT_SHAPE_POINTS_MAX };
typedef enum pt_shape_kind { PT_SHAPE_RECT, PT_SHAPE_ELLIPSE, PT_SHAPE_POLY } pt_shape_kind;
/* Photo pixels. rect: xy = x, y, w, h.  ellipse: cx, cy, rx, ry.  poly: n points, even-odd filling. */
typedef struct pt_shape {
  pt_shape_kind kind;
  size_t n; /* points of a poly */
  double xy[2 * PT_SHAPE_POINTS_MAX];
} pt_shape;
/* "rect:X,Y,WxH", "ellipse:CX,CY,RXxRY", "poly:X,Y;X,Y;...".  PT_USAGE with the text at fault. */
pt_status pt_shape_parse(const char *text, pt_shape *out, pt_error *err);
/* The same text back, at 10 digits; PT_SHAPE_TEXT_MAX always suffices, "" when room does not. */
void pt_shape_format(const pt_shape *shape, char *out, size_t room);
/* Smallest pixel rectangle that holds it, cut to the photo; PT_BAD_INPUT when wholly outside. */
pt_status pt_shape_bounds(const pt_shape *shape, const pt_photo_info *photo, pt_rect *out, pt_error *err);
/* mask: rect.h x rect.w, 1 where the pixel's center lies inside. */
void pt_shape_mask(const pt_shape *shape, const pt_rect *rect, uint8_t *mask);

/* What a pixel shows beside its surroundings; the bench draws these.  A color that changes smoothly is KEPT.
 */
typedef enum pt_pixel_class {
  PT_PIXEL_OUTSIDE,
  PT_PIXEL_KEPT,
  PT_PIXEL_GLOSS,
  PT_PIXEL_FLAKE,
  PT_PIXEL_SHADOW,
  PT_PIXEL_CLIPPED
} pt_pixel_class;

typedef struct pt_shares {
  double kept, gloss, flake, shadow, clipped; /* of the region's pixels, sum 1 */
} pt_shares;

typedef struct pt_reading {
  pt_lab lab; /* robust center of the plastic itself */
  pt_lch lch;
  double uncertainty_de00; /* of lab, one standard deviation: spread, count and light combined */
  double spread_de00;      /* typical CIEDE2000 of a kept pixel from the center */
  size_t pixels;           /* in the region */
  pt_shares shares;
  pt_notes notes;
} pt_reading;

/* Robust color of one region.
 * patch   its pixels (linear), mask as pt_shape_mask gives for patch->rect
 * classes rect.h x rect.w of pt_pixel_class, or NULL
 * out     unchanged on error
 * Errors  PT_TOO_FEW below 50 kept pixels; PT_NO_MEMORY
 * Thread-safe for distinct out and err. */
pt_status pt_region_measure(const pt_patch *patch, const uint8_t *mask, const pt_light *light,
                            pt_reading *out, uint8_t *classes, pt_error *err);

/* Mean of several readings of the same thing, with the larger of their own and their mutual uncertainty. */
pt_status pt_reading_mean(const pt_reading *readings, size_t n, pt_reading *out, pt_error *err);

#endif
