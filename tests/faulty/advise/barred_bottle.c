#include "faulty.h"

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  pt_proposal *p = sound_proposal(request, reply);
  while (request->bottle[p->add[0].bottle].usable) p->add[0].bottle++;
  (void)host;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("barred-bottle", advise)
