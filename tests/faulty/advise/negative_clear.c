#include "faulty.h"

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  pt_proposal *p = sound_proposal(request, reply);
  p->add_clear_floz = -1;
  (void)host;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("negative-clear", advise)
