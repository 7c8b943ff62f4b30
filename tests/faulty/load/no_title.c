#include "faulty.h"

static const pt_plugin plugin = {sizeof plugin, PT_ABI_MAJOR, PT_ABI_MINOR, "no-title", "", "1", nothing};

const pt_plugin *pt_plugin_entry(void) {
  return &plugin;
}
