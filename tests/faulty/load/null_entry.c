#include "faulty.h"

const dw_plugin *dw_plugin_entry(void) {
  return NULL;
}
