#include "faulty.h"

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  dw_proposal *p = sound_proposal(request, reply);
  while (request->bottle[p->add[0].bottle].usable) p->add[0].bottle++;
  (void)host;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("barred-bottle", advise)
