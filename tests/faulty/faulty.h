/* A plugin that is sound but for what its file adds. */
#ifndef DROPWISE_TESTS_FAULTY_H
#define DROPWISE_TESTS_FAULTY_H

#include "dropwise/plugin.h"

#define FAULTY_PLUGIN(name, function) FAULTY_PLUGIN_WITH(name, function, NULL, 0)
#define FAULTY_PLUGIN_WITH(name, function, list, n_list)                                                     \
  static const dw_plugin plugin = {.struct_size = sizeof plugin,                                             \
                                   .abi_major = DW_ABI_MAJOR,                                                \
                                   .abi_minor = DW_ABI_MINOR,                                                \
                                   .id = name,                                                               \
                                   .title = "A faulty plugin",                                               \
                                   .version = "1",                                                           \
                                   .advise = function,                                                       \
                                   .n_parameters = n_list,                                                   \
                                   .parameter = list};                                                       \
  const dw_plugin *dw_plugin_entry(void) {                                                                   \
    return &plugin;                                                                                          \
  }

static inline int32_t nothing(const dw_host *host, const dw_request *request, dw_reply *reply) {
  (void)host, (void)request, (void)reply;
  return DW_PLUGIN_NOTHING;
}

/* A proposal that passes every check: one more drop of the first bottle in the first layer's cup. */
static inline dw_proposal *sound_proposal(const dw_request *request, dw_reply *reply) {
  static const char words[] = "Adds a drop of what is in the cup.";
  dw_proposal *p = dw_plugin_propose(request, reply, 0);
  p->n_adds = 1;
  p->add[0] = (dw_addition){request->layer[0].drops[0].bottle, 1};
  for (size_t i = 0; i < sizeof words; i++) p->words[i] = words[i];
  return p;
}

#endif
