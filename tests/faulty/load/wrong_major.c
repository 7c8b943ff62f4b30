#include "faulty.h"

static const dw_plugin plugin = {sizeof plugin, 2, 0, "wrong-major", "Of another interface", "1", nothing};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
