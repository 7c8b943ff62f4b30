#include "faulty.h"

/* Nothing wrong with it: its advice must come through whatever the others do. */
static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host;
  sound_proposal(request, reply);
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("sound", advise)
