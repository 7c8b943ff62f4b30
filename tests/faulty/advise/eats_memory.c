#include "faulty.h"
#include <stdlib.h>

static char *volatile kept;

/* 10 GiB, not asking whether it got them. */
static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  for (size_t i = 0; i < 10240; i++) {
    kept = malloc((size_t)1 << 20);
    kept[0] = 1;
  }
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("eats-memory", advise)
