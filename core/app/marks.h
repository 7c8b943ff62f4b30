/* Marks: what a person pointed at in one photo (the card, a gray patch, the layers).
 * File form: JSON, docs/file-formats.md#marks */
#ifndef DROPWISE_APP_MARKS_H
#define DROPWISE_APP_MARKS_H

#include "dropwise/report.h"

typedef struct dw_mark {
  char name[DW_LAYER_NAME_ROOM];
  dw_shape shape;
} dw_mark;

typedef struct dw_marks {
  dw_light_method method;
  dw_card card;       /* method card */
  char card_set[512]; /* "grid24", or the CGATS file it came from */
  dw_corners corners;
  dw_shape gray; /* method gray */
  double gray_y; /* its luminance factor, 0..1 */
  size_t n;
  dw_mark layer[DW_READ_LAYERS_MAX];
} dw_marks;

#define DW_GRAY_Y_DEFAULT 0.18 /* the usual gray card; common practice, no source */
enum { DW_MARKS_FILE_MAX = 1 << 20 };

/* "grid24", or a CGATS file. */
dw_status dw__marks_set_card(dw_marks *marks, const char *set, dw_error *err);
/* "NAME=SHAPE" */
dw_status dw__marks_add_layer(dw_marks *marks, const char *text, dw_error *err);
/* set  the card to take instead of the file's own, which is then not looked for; NULL: the file's own
 * Errors DW_NOT_FOUND, DW_BAD_INPUT with what is missing or of the wrong kind, DW_TOO_LARGE */
dw_status dw__marks_load(const char *path, const char *set, dw_marks *out, dw_error *err);
dw_status dw__marks_from_json(const json_t *root, const char *name, const char *set, dw_marks *out,
                              dw_error *err);
json_t *dw__marks_json(const dw_marks *marks); /* a new reference, NULL when out of memory */

#endif
