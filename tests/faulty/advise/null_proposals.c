#include "faulty.h"

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request;
  reply->proposal = NULL;
  reply->room = UINT32_MAX;
  reply->n = 2;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("null-proposals", advise)
