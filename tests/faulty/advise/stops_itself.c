#include "faulty.h"
#include <signal.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  raise(SIGSTOP);
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("stops-itself", advise)
