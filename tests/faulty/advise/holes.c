#include "faulty.h"

/* Claims a proposal and fills in nothing. */
static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request;
  reply->n = 1;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("holes", advise)
