#include "faulty.h"

static const pt_plugin plugin = {24, PT_ABI_MAJOR, PT_ABI_MINOR, "short-struct", "Too short", "1", nothing};

const pt_plugin *pt_plugin_entry(void) {
  return &plugin;
}
