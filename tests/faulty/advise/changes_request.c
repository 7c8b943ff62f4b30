#include "faulty.h"

/* All it is shown is const, and it writes there all the same. */
static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  pt_proposal *p = sound_proposal(request, reply);
  pt_layer_view *layer = (pt_layer_view *)(uintptr_t)request->layer;
  for (uint32_t i = 0; i < request->n_layers; i++)
    layer[i].target = layer[i].now = (pt_lab){0, 0, 0}, layer[i].room_floz = 1e9;
  ((pt_request *)(uintptr_t)request)->n_layers = 1000;
  (void)p;
  (void)host;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("changes-request", advise)
