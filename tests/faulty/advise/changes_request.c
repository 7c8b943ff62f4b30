#include "faulty.h"

/* All it is shown is const, and it writes there all the same. */
static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  dw_proposal *p = sound_proposal(request, reply);
  dw_layer_view *layer = (dw_layer_view *)(uintptr_t)request->layer;
  for (uint32_t i = 0; i < request->n_layers; i++)
    layer[i].target = layer[i].now = (dw_lab){0, 0, 0}, layer[i].room_floz = 1e9;
  ((dw_request *)(uintptr_t)request)->n_layers = 1000;
  (void)p;
  (void)host;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("changes-request", advise)
