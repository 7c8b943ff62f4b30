#include "faulty.h"
#include <string.h>

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  pt_proposal *p = sound_proposal(request, reply);
  strcpy(p->words, "Red \033[31malert\a \xff and \xe2\x80\xaeturned.");
  (void)host;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("escape-words", advise)
