#include "faulty.h"

/* Would clear the terminal of whoever lists the plugins. */
static const dw_plugin plugin = {.struct_size = sizeof plugin,
                                 .abi_major = DW_ABI_MAJOR,
                                 .abi_minor = DW_ABI_MINOR,
                                 .id = "escape-title",
                                 .title = "\033[2Jgone",
                                 .version = "1",
                                 .advise = nothing};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
