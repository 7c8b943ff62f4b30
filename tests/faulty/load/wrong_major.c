#include "faulty.h"

static const pt_plugin plugin = {sizeof plugin, 2, 0, "wrong-major", "Of another interface", "1", nothing};

const pt_plugin *pt_plugin_entry(void) {
  return &plugin;
}
