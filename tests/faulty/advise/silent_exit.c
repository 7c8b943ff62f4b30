#include "faulty.h"
#include <stdlib.h>

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request, (void)reply;
  exit(0);
}

FAULTY_PLUGIN("silent-exit", advise)
