#include "faulty.h"
#include <string.h>
#include <unistd.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  dw_proposal *p = sound_proposal(request, reply);
  char garbage[8192];
  memset(garbage, 0x41, sizeof garbage);
  for (int fd = 0; fd < 1024; fd++)
    if (write(fd, garbage, sizeof garbage) < 0) continue;
  (void)p;
  (void)host;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("garbage-to-files", advise)
