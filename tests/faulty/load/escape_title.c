#include "faulty.h"

/* Would clear the terminal of whoever lists the plugins. */
static const dw_plugin plugin = {sizeof plugin, DW_ABI_MAJOR, DW_ABI_MINOR, "escape-title",
                                 "\033[2Jgone", "1",          nothing};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
