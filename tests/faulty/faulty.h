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

/* A proposal that passes every check: one more drop of the first bottle in the first layer's cup. */
static inline pt_proposal *sound_proposal(const pt_request *request, pt_reply *reply) {
  static const char words[] = "Adds a drop of what is in the cup.";
  pt_proposal *p = pt_plugin_propose(request, reply, 0);
  p->n_adds = 1;
  p->add[0] = (pt_addition){request->layer[0].drops[0].bottle, 1};
  for (size_t i = 0; i < sizeof words; i++) p->words[i] = words[i];
  return p;
}

#endif
