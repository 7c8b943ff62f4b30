#include "faulty.h"
#include <unistd.h>

__attribute__((constructor)) static void begin(void) {
  for (;;) pause();
}

FAULTY_PLUGIN("hang-in-constructor", nothing)
