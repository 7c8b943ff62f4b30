#include "faulty.h"

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  dw_proposal *p = sound_proposal(request, reply);
  for (uint32_t i = 0; i < 6; i++) p->add[i] = (dw_addition){i, 1};
  p->n_adds = 6;
  (void)host;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("too-many-bottles", advise)
