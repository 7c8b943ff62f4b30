#include "faulty.h"
#include <unistd.h>

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  pt_proposal *p = sound_proposal(request, reply);
  (void)p;
  for (int fd = 0; fd < 1024; fd++) close(fd);
  (void)host;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("closes-files", advise)
