#include "faulty.h"

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request, (void)reply;
  for (volatile uint32_t i = 0; i < 1; i = 0) continue;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("endless-loop", advise)
