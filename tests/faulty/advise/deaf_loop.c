#include "faulty.h"
#include <signal.h>
#include <unistd.h>

/* Ignores every signal that can be ignored. */
static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request, (void)reply;
  sigset_t all;
  sigfillset(&all);
  sigprocmask(SIG_SETMASK, &all, NULL);
  for (int s = 1; s < NSIG; s++) signal(s, SIG_IGN);
  while (pause() < 0) continue;
  return PT_PLUGIN_OK;
}

FAULTY_PLUGIN("deaf-loop", advise)
