#include "faulty.h"

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request;
  reply->proposal = NULL;
  reply->room = UINT32_MAX;
  reply->n = 2;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("null-proposals", advise)
