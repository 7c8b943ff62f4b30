#include "dropwise/batch.h"

#include <string.h>

static const dw_layer_reading *reading_of(const dw_photo_reading *reading, const char *name) {
  for (size_t i = 0; i < reading->n; i++)
    if (strcmp(reading->layer[i].name, name) == 0) return &reading->layer[i];
  return NULL;
}

dw_status dw_flow_advise(const dw_photo_reading *reading, dw_advice_request *request,
                         const dw_plugins *plugins, dw_advice_result **out, dw_error *err) {
  for (size_t i = 0; i < request->n; i++) {
    dw_layer *layer = &request->layer[i];
    const dw_layer_reading *found = reading_of(reading, layer->name);
    if (!found)
      return dw_fail(err, DW_NOT_FOUND, "%s has no marked layer \"%s\", which the pattern asks for.",
                     reading->path, layer->name);
    layer->has_measured = true;
    layer->measured = found->reading.lab;
    layer->measured_uncertainty_de00 = found->reading.uncertainty_de00;
  }
  return dw_advise(request, plugins, out, err);
}
