#include "faulty.h"

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request, (void)reply;
  return PT_PLUGIN_ERROR;
}

FAULTY_PLUGIN("says-failed", advise)
