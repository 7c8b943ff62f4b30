#include "faulty.h"
#include "traces.h"
#include <stdio.h>
#include <stdlib.h>

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  const char *path = getenv(TRACES_FILE);
  FILE *file = path ? fopen(path, "w") : NULL;
  if (!file) return DW_PLUGIN_ERROR;
  for (int i = 0; i < 100000; i++) fputs("more and more and more\n", file);
  return fclose(file) ? DW_PLUGIN_ERROR : DW_PLUGIN_NOTHING;
}

FAULTY_PLUGIN("grows-file", advise)
