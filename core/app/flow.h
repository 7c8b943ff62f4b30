/* The main flow, shared by the command line and the page: photo -> light -> regions -> Lab -> difference ->
 * advice. */
#ifndef POURTONE_APP_FLOW_H
#define POURTONE_APP_FLOW_H

#include "app/marks.h"

/* Reads the marked layers of one photo.
 * preview_side  0, or the longest side of a reduced picture to make as well
 * arena         owns the preview; needed only with preview_side
 * out           large: keep it off the stack of deep callers; unchanged on error
 * Errors        of photo, card and region, each naming the photo, the patch or the layer */
pt_status pt__flow_read(const char *path, const pt_marks *marks, const pt_photo_limits *limits,
                        int preview_side, pt_arena *arena, pt_photo_reading *out, pt_preview *preview,
                        pt_error *err);

/* The light alone, for measuring many shapes by it.
 * photo      perhaps a spool
 * max_bytes  of pixels held for it
 * out        owned by the caller, pt_light_free
 * Errors     of photo, card and region */
pt_status pt__flow_light(pt_photo *photo, const pt_marks *marks, size_t max_bytes, pt_light **out,
                         pt_error *err);

/* Which pixels counted in a measured shape. */
typedef struct pt_classes {
  pt_rect rect; /* as of the patch measured */
  int step;
  const uint8_t *of; /* rect.h x rect.w of pt_pixel_class; owned by the arena */
} pt_classes;
/* One shape by a light fitted before.
 * most     pixels to look at: of a shape in a larger rectangle only every second, third ... pixel and row is
 *          looked at; 0: all
 * arena    holds the pixels while it lives; its limit bounds the shape's size
 * classes  NULL when not wanted */
pt_status pt__flow_measure(pt_photo *photo, const pt_light *light, const pt_mark *mark, size_t most,
                           pt_arena *arena, pt_layer_reading *out, pt_classes *classes, pt_error *err);

/* Reads the layers, sets them against the targets of the request's layers of the same name, and asks the
 * plugins. request  layers with targets and cups; their measured colors are filled in from the reading Errors
 * PT_NOT_FOUND a layer of the request that the photo does not have */
pt_status pt__flow_advise(const pt_photo_reading *reading, pt_advice_request *request,
                          const pt_plugins *plugins, pt_advice_result **out, pt_error *err);

#endif
