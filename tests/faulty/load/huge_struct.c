#include "faulty.h"

static const dw_plugin plugin = {.struct_size = UINT32_MAX,
                                 .abi_major = DW_ABI_MAJOR,
                                 .abi_minor = DW_ABI_MINOR,
                                 .id = "huge-struct",
                                 .title = "Too long",
                                 .version = "1",
                                 .advise = nothing};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
