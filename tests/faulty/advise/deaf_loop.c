#include "faulty.h"
#include <signal.h>
#include <unistd.h>

/* Ignores every signal that can be ignored. */
static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  sigset_t all;
  sigfillset(&all);
  sigprocmask(SIG_SETMASK, &all, NULL);
  for (int s = 1; s < NSIG; s++) signal(s, SIG_IGN);
  while (pause() < 0) continue;
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("deaf-loop", advise)
