#include "faulty.h"
#include <unistd.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  dw_proposal *p = sound_proposal(request, reply);
  (void)p;
  for (int fd = 0; fd < 1024; fd++) close(fd);
  (void)host;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("closes-files", advise)
