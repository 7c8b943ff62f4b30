#include "faulty.h"

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  dw_proposal *p = sound_proposal(request, reply);
  (void)p;
  reply->n = 1000000;
  (void)host;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("huge-reply", advise)
