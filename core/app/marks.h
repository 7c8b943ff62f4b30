/* Marks: what a person pointed at in one photo (the card, a gray patch, the layers).
 * File form: JSON, docs/file-formats.md#marks */
#ifndef POURTONE_APP_MARKS_H
#define POURTONE_APP_MARKS_H

#include "pourtone/report.h"

typedef struct pt_mark {
  char name[PT_LAYER_NAME_ROOM];
  pt_shape shape;
} pt_mark;

typedef struct pt_marks {
  pt_light_method method;
  pt_card card;       /* method card */
  char card_set[512]; /* "grid24", or the CGATS file it came from */
  pt_corners corners;
  pt_shape gray; /* method gray */
  double gray_y; /* its luminance factor, 0..1 */
  size_t n;
  pt_mark layer[PT_READ_LAYERS_MAX];
} pt_marks;

#define PT_GRAY_Y_DEFAULT 0.18 /* the usual gray card; common practice, no source */
enum { PT_MARKS_FILE_MAX = 1 << 20 };

/* "grid24", or a CGATS file. */
pt_status pt__marks_set_card(pt_marks *marks, const char *set, pt_error *err);
/* "NAME=SHAPE" */
pt_status pt__marks_add_layer(pt_marks *marks, const char *text, pt_error *err);
/* set  the card to take instead of the file's own, which is then not looked for; NULL: the file's own
 * Errors PT_NOT_FOUND, PT_BAD_INPUT with what is missing or of the wrong kind, PT_TOO_LARGE */
pt_status pt__marks_load(const char *path, const char *set, pt_marks *out, pt_error *err);
pt_status pt__marks_from_json(const json_t *root, const char *name, const char *set, pt_marks *out,
                              pt_error *err);
json_t *pt__marks_json(const pt_marks *marks); /* a new reference, NULL when out of memory */

#endif
