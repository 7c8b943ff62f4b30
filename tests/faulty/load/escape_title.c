#include "faulty.h"

/* Would clear the terminal of whoever lists the plugins. */
static const pt_plugin plugin = {sizeof plugin, PT_ABI_MAJOR, PT_ABI_MINOR, "escape-title",
                                 "\033[2Jgone", "1",          nothing};

const pt_plugin *pt_plugin_entry(void) {
  return &plugin;
}
