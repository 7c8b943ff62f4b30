#include "faulty.h"
#include <sys/prctl.h>
#include <unistd.h>

/* Answers well, and leaves a process that holds the pipe open. */
static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  pt_proposal *p = sound_proposal(request, reply);
  (void)p;
  if (fork() == 0) {
    prctl(PR_SET_NAME, "pt-left-over");
    for (;;) pause();
  }
  (void)host;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("leaves-child", advise)
