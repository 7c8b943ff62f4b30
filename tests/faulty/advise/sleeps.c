#include "faulty.h"
#include <unistd.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  while (pause() < 0) continue;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("sleeps", advise)
