#include "faulty.h"

/* Calls itself until the stack is used up. */
static int32_t dig(volatile int32_t depth) {
  volatile char room[4096];
  room[0] = (char)depth;
  return depth <= 0 ? 0 : dig(depth + 1) + room[0];
}

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request;
  return dig(1) + (int32_t)reply->n;
}

FAULTY_PLUGIN("deep", advise)
