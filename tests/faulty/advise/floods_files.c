#include "faulty.h"
#include <unistd.h>

/* Far more than the pipe or the host has room for. */
static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  static char garbage[1 << 20];
  for (int fd = 0; fd < 1024; fd++)
    for (int i = 0; i < 64; i++)
      if (write(fd, garbage, sizeof garbage) < 0) break;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("floods-files", advise)
