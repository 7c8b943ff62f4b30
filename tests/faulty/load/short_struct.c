#include "faulty.h"

static const dw_plugin plugin = {.struct_size = 24,
                                 .abi_major = DW_ABI_MAJOR,
                                 .abi_minor = DW_ABI_MINOR,
                                 .id = "short-struct",
                                 .title = "Too short",
                                 .version = "1",
                                 .advise = nothing};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
