#include "faulty.h"

static const dw_plugin plugin = {.struct_size = sizeof plugin,
                                 .abi_major = DW_ABI_MAJOR,
                                 .abi_minor = DW_ABI_MINOR,
                                 .id = "null-version",
                                 .title = "No version",
                                 .version = NULL,
                                 .advise = nothing};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
