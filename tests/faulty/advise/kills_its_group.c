#include "faulty.h"
#include <signal.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  return kill(0, SIGKILL) == 0 ? DW_PLUGIN_OK : DW_PLUGIN_ERROR;
}

FAULTY_PLUGIN("kills-its-group", advise)
