#include "faulty.h"
#include <stdlib.h>
#include <string.h>

/* Overwrites the host's own data, as it sees it. */
static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)reply;
  dw_lab lab;
  memset(host->ctx, 0x5A, 64);
  host->predict(host->ctx, 0, NULL, 0, 0, &lab, NULL);
  memset((void *)(uintptr_t)request, 0x5A, sizeof *request);
  abort();
}

FAULTY_PLUGIN("scribbles", advise)
