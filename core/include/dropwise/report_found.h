/* What was found or marked in a photo, for a person. */
#ifndef DROPWISE_REPORT_FOUND_H
#define DROPWISE_REPORT_FOUND_H

#include "dropwise/read_find.h"
#include "dropwise/report.h"

/* wish, here and below, names the layers; may be NULL */
void dw_text_found(const dw_found *found, const dw_find_wish *wish, const dw_style *style, dw_text *out);

/* _found    card, outlines, axes, borders, numbers and the layers' names
 * _reading  card, and the marked layers with their names
 * dw_draw_X  drawn into a preview of the photo, in place
 * dw_svg_X   one <svg> element in photo pixels, to be laid over the photo
 * dw_svg_X_photo  an SVG file with the photo in it.  Errors DW_NO_MEMORY */
void dw_draw_found(const dw_found *found, const dw_find_wish *wish, dw_preview *picture);
void dw_draw_reading(const dw_photo_reading *reading, dw_preview *picture);
void dw_svg_found(const dw_found *found, const dw_find_wish *wish, dw_text *out);
void dw_svg_reading(const dw_photo_reading *reading, dw_text *out);
dw_status dw_svg_found_photo(const dw_found *found, const dw_find_wish *wish, const dw_preview *preview,
                             dw_text *out, dw_error *err);
dw_status dw_svg_reading_photo(const dw_photo_reading *reading, const dw_preview *preview, dw_text *out,
                               dw_error *err);
/* The photo with all that, and of each bait its layers and the colors across it, as one HTML file.
 * Errors DW_NO_MEMORY */
dw_status dw_html_found(const dw_found *found, const dw_find_wish *wish, const dw_preview *preview,
                        dw_text *out, dw_error *err);

#endif
