#include "faulty.h"

static const pt_plugin plugin = {UINT32_MAX, PT_ABI_MAJOR, PT_ABI_MINOR, "huge-struct",
                                 "Too long", "1",          nothing};

const pt_plugin *pt_plugin_entry(void) {
  return &plugin;
}
