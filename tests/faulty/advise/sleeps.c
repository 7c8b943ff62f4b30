#include "faulty.h"
#include <unistd.h>

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request, (void)reply;
  while (pause() < 0) continue;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("sleeps", advise)
