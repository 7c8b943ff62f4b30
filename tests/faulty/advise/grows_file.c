#include "faulty.h"
#include <stdio.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  FILE *file = fopen("/tmp/dropwise-grown-file", "w");
  if (!file) return DW_PLUGIN_ERROR;
  for (int i = 0; i < 100000; i++) fputs("more and more and more\n", file);
  return fclose(file) ? DW_PLUGIN_ERROR : DW_PLUGIN_NOTHING;
}

FAULTY_PLUGIN("grows-file", advise)
