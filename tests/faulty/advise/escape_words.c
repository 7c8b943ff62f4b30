#include "faulty.h"
#include <string.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  dw_proposal *p = sound_proposal(request, reply);
  strcpy(p->words, "Red \033[31malert\a \xff and \xe2\x80\xaeturned.");
  (void)host;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("escape-words", advise)
