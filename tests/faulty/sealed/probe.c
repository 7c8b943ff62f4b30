/* Tries all that a sealed process may not do, in a constructor and in advise, and says what became of it. */
#include "base/forbidden.h"
#include "faulty/faulty.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

typedef struct tries {
  size_t refused;
  char through[80]; /* the first that were not */
} tries;
static tries loading;

static int refused(size_t i) {
  return forbidden_things[i].try_it() < 0 && errno == EPERM;
}

/* The first is harmless: where it goes through there is no seal, and the others are better not tried. */
static void try_all(tries *out) {
  forbidden_prepare();
  for (size_t i = 0; i < forbidden_count && (i == 0 || out->refused > 0); i++) {
    size_t used = strlen(out->through);
    if (refused(i))
      out->refused++;
    else
      snprintf(out->through + used, sizeof out->through - used, " %s", forbidden_things[i].name);
  }
}

__attribute__((constructor)) static void begin(void) {
  try_all(&loading);
}

/* What it may do: its own library, that far and no further. */
static int own_library(void) {
  char start[4] = "";
  const char *own = getenv("DROPWISE_TEST_PROBE");
  int fd = own ? open(own, O_RDONLY) : -1;
  int read_it = fd >= 0 && read(fd, start, sizeof start) == sizeof start && memcmp(start, "\177ELF", 4) == 0;
  if (fd >= 0) close(fd);
  return read_it && own && open(own, O_RDWR) < 0 && open(own, O_WRONLY) < 0;
}

static int32_t advise(const dw_host *host, const dw_request *request, dw_reply *reply) {
  tries asking = {0};
  (void)host;
  try_all(&asking);
  dw_proposal *p = sound_proposal(request, reply);
  snprintf(p->words, sizeof p->words, "Refused %zu and %zu of %zu; own library %s; through:%s%s.",
           loading.refused, asking.refused, forbidden_count, own_library() ? "read" : "not read",
           loading.through, asking.through);
  return DW_PLUGIN_OK;
}

FAULTY_PLUGIN("probe", advise)
