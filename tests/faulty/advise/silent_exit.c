#include "faulty.h"
#include <stdlib.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  exit(0);
}

FAULTY_PLUGIN("silent-exit", advise)
