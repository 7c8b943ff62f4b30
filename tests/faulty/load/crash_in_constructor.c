#include "faulty.h"
#include <stdlib.h>

__attribute__((constructor)) static void begin(void) {
  abort();
}

FAULTY_PLUGIN("crash-in-constructor", nothing)
