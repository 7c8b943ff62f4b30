#include "faulty.h"

/* Writes where only code may be. */
static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  *(volatile char *)(uintptr_t)advise = 1;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("crash", advise)
