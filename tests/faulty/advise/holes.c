#include "faulty.h"

/* Claims a proposal and fills in nothing. */
static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request;
  reply->n = 1;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("holes", advise)
