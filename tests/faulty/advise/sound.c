#include "faulty.h"

/* Nothing wrong with it: its advice must come through whatever the others do. */
static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host;
  sound_proposal(request, reply);
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("sound", advise)
