#include "faulty.h"
#include <string.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  dw_proposal *p = sound_proposal(request, reply);
  memset(p->warning, 'a', sizeof p->warning);
  (void)host;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("unterminated-warning", advise)
