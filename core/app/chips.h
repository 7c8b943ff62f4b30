/* Chips from a photo: marked regions whose recipe the marks file, or their own names, tell. */
#ifndef POURTONE_APP_CHIPS_H
#define POURTONE_APP_CHIPS_H

#include "pourtone/report.h"

#define PT_CHIP_CLIPPED_SHARE 0.02 /* of a chip's pixels, from which its color is not to be trusted */

/* Appends the reading's layers as chips text (the columns of pt_chips_parse).
 * marks_path    the marks file: a layer there may carry "recipe", "thickness_mm" and "over"; NULL: none
 * thickness_mm  of chips that don't say
 * Errors  PT_BAD_INPUT a region of neither kind: a name is "orange 2 over black", "orange 4;brown 2 over
 * white" or "clear over white" */
pt_status pt__chips_text(const pt_photo_reading *reading, const char *marks_path, double thickness_mm,
                         pt_text *out, pt_error *err);

#endif
