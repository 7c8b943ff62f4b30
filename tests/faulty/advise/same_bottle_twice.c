#include "faulty.h"

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  pt_proposal *p = sound_proposal(request, reply);
  p->add[1] = p->add[0];
  p->n_adds = 2;
  (void)host;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("same-bottle-twice", advise)
