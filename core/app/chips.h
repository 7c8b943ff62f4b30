/* Chips from a photo: marked regions whose recipe the marks file, or their own names, tell. */
#ifndef DROPWISE_APP_CHIPS_H
#define DROPWISE_APP_CHIPS_H

#include "dropwise/report.h"

#define DW_CHIP_CLIPPED_SHARE 0.02 /* of a chip's pixels, from which its color is not to be trusted */

/* Appends the reading's layers as chips text (the columns of dw_chips_parse).
 * marks_path    the marks file: a layer there may carry "recipe", "thickness_mm" and "over"; NULL: none
 * thickness_mm  of chips that don't say
 * Errors  DW_BAD_INPUT a region of neither kind: a name is "orange 2 over black", "orange 4;brown 2 over
 * white" or "clear over white" */
dw_status dw__chips_text(const dw_photo_reading *reading, const char *marks_path, double thickness_mm,
                         dw_text *out, dw_error *err);

#endif
