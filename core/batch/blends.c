#include "dropwise/batch_blend.h"

#include <assert.h>
#include <string.h>

static_assert((int)DW_LAYERS_MAX <= (int)DW_BLEND_LAYERS_MAX, "the layers of a question fit into a bait");

static dw_status layer_of(const dw_layer *from, const dw_shelf *shelf, const dw_slab *slab,
                          dw_blend_layer *out, dw_error *err) {
  memcpy(out->name, from->name, sizeof out->name);
  if (from->cup.drops.n > 0)
    return dw_blend_cup(shelf, slab, &from->cup, from->has_measured ? &from->measured : NULL, out, err);
  return dw_blend_color(shelf, slab, from->has_measured ? from->measured : dw_layer_fill_aim(from), out, err);
}

dw_status dw_request_blends(const dw_advice_request *request, dw_blends *out, dw_error *err) {
  dw_status status = DW_OK;
  out->rules = request->rules;
  for (out->n = 0; status == DW_OK && out->n < request->n; out->n++)
    status = layer_of(&request->layer[out->n], request->shelf, &out->slab, &out->layer[out->n], err);
  return status;
}
