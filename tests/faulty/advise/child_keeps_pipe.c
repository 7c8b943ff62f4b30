#include "faulty.h"
#include "traces.h"
#include <stdlib.h>
#include <sys/prctl.h>
#include <unistd.h>

/* Dies without an answer while its child holds the pipe open. */
static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  if (fork() == 0) {
    prctl(PR_SET_NAME, getenv(TRACES_NAME));
    for (;;) pause();
  }
  _exit(3);
}

FAULTY_PLUGIN("child-keeps-pipe", advise)
