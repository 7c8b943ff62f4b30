#include "faulty.h"

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  return DW_PLUGIN_ERROR;
}

FAULTY_PLUGIN("says-failed", advise)
