/* Blends as text and JSON, and the bait as a picture. */
#ifndef DROPWISE_REPORT_BLEND_H
#define DROPWISE_REPORT_BLEND_H

#include "dropwise/bait.h"
#include "dropwise/plan_blend.h"
#include "dropwise/report.h"

void dw_text_blends(const dw_shelf *shelf, const dw_blends *blends, const dw_style *style, dw_text *out);
/* Keys: docs/file-formats.md#json. A new reference, or NULL when out of memory
 * style  of the words in it */
json_t *dw_json_blends(const dw_shelf *shelf, const dw_blends *blends, const dw_style *style);
/* What evens a layer that drowns its neighbor: "+3 brown; then ...". Nothing where nothing does. */
void dw_text_blend_even(const dw_shelf *shelf, const dw_blends *blends, size_t border, const dw_style *style,
                        dw_text *out);

/* ---- the picture ------------------------------------------------------------------------------------------
 */

typedef enum dw_outline {
  DW_OUTLINE_CRAWFISH,
  DW_OUTLINE_SWIMBAIT,
  DW_OUTLINE_JERKBAIT,
  DW_OUTLINE_STICK,
  DW_OUTLINE_FROG,
  DW_OUTLINE_COUNT
} dw_outline;
const char *dw_outline_name(dw_outline which); /* "crawfish" */
bool dw_outline_find(const char *name, dw_outline *out);

typedef struct dw_bait_picture {
  const char *id; /* begins the ids in the picture, so that several fit on one page: letters and digits */
  dw_outline outline;
  const dw_bait
      *found; /* in a photo: its body's outline, laid straight, in the other's place; borrowed; NULL: none */
  double share[DW_BLEND_LAYERS_MAX]; /* of the body's height, back first; adding up to 1 */
} dw_bait_picture;
/* The bait with these layers over a light and over a dark bottom: one SVG document without script or style
 * sheet.  Errors DW_NO_MEMORY, or as dw_blends_over */
dw_status dw_svg_bait(const dw_shelf *shelf, const dw_blends *blends, const dw_bait_picture *picture,
                      dw_text *out, dw_error *err);

/* One of several baits in a picture, side by side. */
typedef struct dw_bait_view {
  const dw_blends *blends; /* borrowed */
  const char *title;       /* "as it is"; NULL: none */
} dw_bait_view;
/* The same with n of them, 1 or more, from left to right. */
dw_status dw_svg_baits(const dw_shelf *shelf, const dw_bait_view *views, size_t n,
                       const dw_bait_picture *picture, dw_text *out, dw_error *err);
/* The same picture as PNG bytes, without its finest lines; *out is free()d by the caller. */
dw_status dw_png_baits(const dw_shelf *shelf, const dw_bait_view *views, size_t n,
                       const dw_bait_picture *picture, uint8_t **out, size_t *bytes, dw_error *err);

#endif
