#include "faulty.h"

static const dw_plugin plugin = {24, DW_ABI_MAJOR, DW_ABI_MINOR, "short-struct", "Too short", "1", nothing};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
