#include "faulty.h"

int32_t function_that_no_library_has(void);

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  return function_that_no_library_has();
}

FAULTY_PLUGIN("unresolved", advise)
