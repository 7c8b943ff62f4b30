/* Reading a photo: what is marked in it, the light, the layers' colors; and the reading as it is kept.
 * Method: docs/color-model.md; form of the marks: docs/file-formats.md#marks */
#ifndef DROPWISE_READ_H
#define DROPWISE_READ_H

#include "dropwise/json.h"
#include "dropwise/region.h"

enum { DW_READ_LAYERS_MAX = 64, DW_LAYER_NAME_ROOM = DW_ID_ROOM };

/* ---- what was read ------------------------------------------------------------------------------------- */

typedef struct dw_layer_reading {
  char name[DW_LAYER_NAME_ROOM];
  dw_shape shape;
  dw_reading reading;
  bool has_share;            /* it is a color of a swirl, and the shape that of the whole bait: */
  double share, share_doubt; /* of the bait, blends counted by their parts */
} dw_layer_reading;

/* One photo, read. */
typedef struct dw_photo_reading {
  char path[4096];
  dw_photo_info photo;
  dw_light_info light;
  bool has_corners;
  dw_corners corners; /* where the card was marked */
  dw_card card;       /* which card; rows = 0 without one */
  size_t n;
  dw_layer_reading layer[DW_READ_LAYERS_MAX];
} dw_photo_reading;

/* As JSON (docs/file-formats.md#json): a new reference, or NULL when out of memory. */
json_t *dw_json_shape(const dw_shape *shape);       /* as dw_shape_format has it */
json_t *dw_json_corners(const dw_corners *corners); /* 8 numbers, to a hundredth of a pixel */
json_t *dw_json_reading(const dw_photo_reading *reading);
json_t *dw_json_light(const dw_light_info *light);
json_t *dw_json_layer(const dw_layer_reading *layer);

/* ---- marks: what a person pointed at (the card, a gray patch, the layers) -------------------------------
 */

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

/* Marks of nothing. Half a megabyte: assigned, they may lie on the stack once more. */
void dw_marks_begin(dw_marks *out);
/* "grid24", or a CGATS file. */
dw_status dw_marks_set_card(dw_marks *marks, const char *set, dw_error *err);
/* "NAME=SHAPE" */
dw_status dw_marks_add_layer(dw_marks *marks, const char *text, dw_error *err);
/* Looks for the card in the photo and marks it where its light is believed; marks unchanged on error, and
 * where the photo can't be opened: its reading says why.
 * set  "grid24" or a CGATS file.  Errors as dw_marks_set_card, dw_card_find and dw_flow_light */
dw_status dw_marks_find_card(const char *path, const char *set, dw_marks *marks, dw_error *err);
/* name  the file's, for the sentence
 * set   the card to take instead of the file's own, which is then not looked for; NULL: the file's own
 * Errors DW_BAD_INPUT with what is missing or of the wrong kind */
dw_status dw_marks_from_json(const json_t *root, const char *name, const char *set, dw_marks *out,
                             dw_error *err);
json_t *dw_marks_json(const dw_marks *marks); /* a new reference, NULL when out of memory */

/* ---- photo -> light -> regions -> Lab ------------------------------------------------------------------ */

/* Reads the marked layers of one photo.
 * preview_side  0, or the longest side of a reduced picture to make as well
 * arena         owns the preview; needed only with preview_side
 * out           large: keep it off the stack of deep callers; unchanged on error
 * Errors        of photo, card and region, each naming the photo, the patch or the layer */
dw_status dw_flow_read(const char *path, const dw_marks *marks, const dw_photo_limits *limits,
                       int preview_side, dw_arena *arena, dw_photo_reading *out, dw_preview *preview,
                       dw_error *err);

/* The light alone, for measuring many shapes by it.
 * photo      perhaps a spool
 * max_bytes  of pixels held for it
 * out        owned by the caller, dw_light_free
 * Errors     of photo, card and region */
dw_status dw_flow_light(dw_photo *photo, const dw_marks *marks, size_t max_bytes, dw_light **out,
                        dw_error *err);

/* Which pixels counted in a measured shape. */
typedef struct dw_classes {
  dw_rect rect; /* as of the patch measured */
  int step;
  const uint8_t *of; /* rect.h x rect.w of dw_pixel_class; owned by the arena */
} dw_classes;
/* One shape by a light fitted before.
 * most     pixels to look at: of a shape in a larger rectangle only every second, third ... pixel and row is
 *          looked at; 0: all
 * arena    holds the pixels while it lives; its limit bounds the shape's size
 * classes  NULL when not wanted */
dw_status dw_flow_measure(dw_photo *photo, const dw_light *light, const dw_mark *mark, size_t most,
                          dw_arena *arena, dw_layer_reading *out, dw_classes *classes, dw_error *err);

/* ---- a reading that is to be kept ---------------------------------------------------------------------- */

enum {
  DW_KEPT_PREVIEW_SIDE = 320,
  DW_KEPT_PREVIEW_QUALITY = 80
}; /* of the picture that stays in the book: longest side, JPEG */

/* A photo as it was read, ready to be kept. */
typedef struct dw_read_photo {
  dw_photo_reading reading;
  dw_marks marks;
  char sha256[DW_SHA256_ROOM];
  uint8_t *jpeg; /* a small preview; owned */
  size_t jpeg_bytes;
} dw_read_photo;

/* Reads the marked layers of a photo and makes what the book keeps of it.
 * out  the caller's, dw_read_photo_free; large: on the heap.  Errors as dw_flow_read */
dw_status dw_photo_read(const char *path, const dw_marks *marks, dw_read_photo *out, dw_error *err);
void dw_read_photo_free(dw_read_photo *photo); /* what it owns, not itself */
/* The layer of that name, or NULL. */
const dw_layer_reading *dw_read_photo_layer(const dw_read_photo *photo, const char *name);
/* DW_NOT_FOUND: the photo has no such layer; which ones it has. */
dw_status dw_read_photo_lacks(const dw_read_photo *photo, const char *name, dw_error *err);
/* {"photo": sha256, "taken", "marks", "light", "layer", "flake": {"share", "lab", "uncertainty_de00"}}: how a target was obtained; a new reference or NULL.
 */
json_t *dw_read_photo_detail(const dw_read_photo *photo, const char *layer);

/* ---- chips: marked regions whose recipe the marks file, or their own names, tell ------------------------
 */

#define DW_CHIP_CLIPPED_SHARE 0.02 /* of a chip's pixels, from which its color is not to be trusted */

/* Appends the reading's layers as chips text (the columns of dw_chips_parse).
 * marks         a marks file's JSON: a layer there may carry "recipe", "thickness_mm" and "over"; NULL: none
 * thickness_mm  of chips that don't say
 * Errors  DW_BAD_INPUT a region of neither kind: a name is "orange 2 over black", "orange 4;brown 2 over
 * white" or "clear over white" */
dw_status dw_chips_text(const dw_photo_reading *reading, const json_t *marks, double thickness_mm,
                        dw_text *out, dw_error *err);

#endif
