#include "faulty.h"

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  pt_proposal *p = sound_proposal(request, reply);
  (void)p;
  reply->n = 1000000;
  (void)host;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("huge-reply", advise)
