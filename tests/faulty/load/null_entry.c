#include "faulty.h"

const pt_plugin *pt_plugin_entry(void) {
  return NULL;
}
