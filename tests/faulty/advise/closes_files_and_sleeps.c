#include "faulty.h"
#include <unistd.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  for (int fd = 0; fd < 1024; fd++) close(fd);
  while (pause() < 0) continue;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("closes-files-and-sleeps", advise)
