#include "faulty.h"
#include <signal.h>

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request, (void)reply;
  raise(SIGSTOP);
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("stops-itself", advise)
