#include "faulty.h"
#include <string.h>

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  pt_proposal *p = sound_proposal(request, reply);
  memset(p->words, 'a', sizeof p->words);
  (void)host;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("unterminated-words", advise)
