#include "faulty.h"
#include <signal.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  kill(0, SIGKILL);
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("kills-its-group", advise)
