#include "faulty.h"

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  for (volatile uint32_t i = 0; i < 1; i = 0) continue;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("endless-loop", advise)
