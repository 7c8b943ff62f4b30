#include "faulty.h"

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  dw_proposal *p = sound_proposal(request, reply);
  p->add[1] = p->add[0];
  p->n_adds = 2;
  (void)host;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("same-bottle-twice", advise)
