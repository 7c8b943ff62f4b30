/* The main flow, shared by the command line and the page: photo -> light -> regions -> Lab -> difference ->
 * advice. */
#ifndef DROPWISE_APP_FLOW_H
#define DROPWISE_APP_FLOW_H

#include "app/marks.h"

/* Reads the marked layers of one photo.
 * preview_side  0, or the longest side of a reduced picture to make as well
 * arena         owns the preview; needed only with preview_side
 * out           large: keep it off the stack of deep callers; unchanged on error
 * Errors        of photo, card and region, each naming the photo, the patch or the layer */
dw_status dw__flow_read(const char *path, const dw_marks *marks, const dw_photo_limits *limits,
                        int preview_side, dw_arena *arena, dw_photo_reading *out, dw_preview *preview,
                        dw_error *err);

/* The light alone, for measuring many shapes by it.
 * photo      perhaps a spool
 * max_bytes  of pixels held for it
 * out        owned by the caller, dw_light_free
 * Errors     of photo, card and region */
dw_status dw__flow_light(dw_photo *photo, const dw_marks *marks, size_t max_bytes, dw_light **out,
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
dw_status dw__flow_measure(dw_photo *photo, const dw_light *light, const dw_mark *mark, size_t most,
                           dw_arena *arena, dw_layer_reading *out, dw_classes *classes, dw_error *err);

/* Reads the layers, sets them against the targets of the request's layers of the same name, and asks the
 * plugins. request  layers with targets and cups; their measured colors are filled in from the reading Errors
 * DW_NOT_FOUND a layer of the request that the photo does not have */
dw_status dw__flow_advise(const dw_photo_reading *reading, dw_advice_request *request,
                          const dw_plugins *plugins, dw_advice_result **out, dw_error *err);

#endif
