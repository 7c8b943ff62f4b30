#include "faulty.h"

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  pt_proposal *p = sound_proposal(request, reply);
  for (uint32_t i = 0; i < 6; i++) p->add[i] = (pt_addition){i, 1};
  p->n_adds = 6;
  (void)host;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("too-many-bottles", advise)
