#include "faulty.h"

/* Writes where only code may be. */
static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request, (void)reply;
  *(volatile char *)(uintptr_t)advise = 1;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("crash", advise)
