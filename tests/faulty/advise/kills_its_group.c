#include "faulty.h"
#include <signal.h>

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request, (void)reply;
  kill(0, SIGKILL);
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("kills-its-group", advise)
