#include "faulty.h"

static const dw_plugin plugin = {UINT32_MAX, DW_ABI_MAJOR, DW_ABI_MINOR, "huge-struct",
                                 "Too long", "1",          nothing};

const dw_plugin *dw_plugin_entry(void) {
  return &plugin;
}
