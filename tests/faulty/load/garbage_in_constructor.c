#include "faulty.h"
#include <string.h>
#include <unistd.h>

__attribute__((constructor)) static void begin(void) {
  char garbage[4096];
  memset(garbage, 'A', sizeof garbage);
  for (int fd = 0; fd < 1024; fd++)
    if (write(fd, garbage, sizeof garbage) < 0) continue;
}

FAULTY_PLUGIN("garbage-in-constructor", nothing)
