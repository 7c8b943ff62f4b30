#include "faulty.h"

static const dw_plugin plugin = {sizeof plugin, DW_ABI_MAJOR, DW_ABI_MINOR, "no-title", "", "1", nothing};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
