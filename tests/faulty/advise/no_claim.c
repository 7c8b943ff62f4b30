#include "faulty.h"

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  pt_proposal *p = sound_proposal(request, reply);
  p->predicted.a = NAN;
  (void)host;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("no-claim", advise)
