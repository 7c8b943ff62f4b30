#include "faulty.h"
#include <unistd.h>

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request, (void)reply;
  for (int fd = 0; fd < 1024; fd++) close(fd);
  while (pause() < 0) continue;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("closes-files-and-sleeps", advise)
