#include "faulty.h"
#include <stdio.h>

static int32_t advise(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request, (void)reply;
  FILE *file = fopen("/tmp/pourtone-grown-file", "w");
  if (!file) return PT_PLUGIN_ERROR;
  for (int i = 0; i < 100000; i++) fputs("more and more and more\n", file);
  return fclose(file) ? PT_PLUGIN_ERROR : PT_PLUGIN_NOTHING;
}

FAULTY_PLUGIN("grows-file", advise)
