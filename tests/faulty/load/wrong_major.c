#include "faulty.h"

static const dw_plugin plugin = {.struct_size = sizeof plugin,
                                 .abi_major = 2,
                                 .abi_minor = 0,
                                 .id = "wrong-major",
                                 .title = "Of another interface",
                                 .version = "1",
                                 .advise = nothing};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
