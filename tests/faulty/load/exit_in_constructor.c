#include "faulty.h"
#include <stdlib.h>

__attribute__((constructor)) static void begin(void) {
  exit(0);
}

FAULTY_PLUGIN("exit-in-constructor", nothing)
