/* A plugin that is sound but for what its file adds. */
#ifndef POURTONE_TESTS_FAULTY_H
#define POURTONE_TESTS_FAULTY_H

#include "pourtone/plugin.h"

#define FAULTY_PLUGIN(id, function)                                                                          \
  static const pt_plugin plugin = {sizeof plugin,     PT_ABI_MAJOR, PT_ABI_MINOR, id,                        \
                                   "A faulty plugin", "1",          function};                               \
  const pt_plugin *pt_plugin_entry(void) {                                                                   \
    return &plugin;                                                                                          \
  }

static inline int32_t nothing(const pt_host *host, const pt_request *request, pt_reply *reply) {
  (void)host, (void)request, (void)reply;
  return PT_PLUGIN_NOTHING;
}

#endif
