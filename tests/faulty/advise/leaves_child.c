#include "faulty.h"
#include "traces.h"
#include <stdlib.h>
#include <sys/prctl.h>
#include <unistd.h>

/* Answers well, and leaves a process that holds the pipe open. */
static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  dw_proposal *p = sound_proposal(request, reply);
  (void)p;
  if (fork() == 0) {
    prctl(PR_SET_NAME, getenv(TRACES_NAME));
    for (;;) pause();
  }
  (void)host;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("leaves-child", advise)
