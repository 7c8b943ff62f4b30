#include "faulty.h"

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  dw_proposal *p = sound_proposal(request, reply);
  p->predicted = (dw_lab){95, 60, 60};
  (void)host;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("lies", advise)
