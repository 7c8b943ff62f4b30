/* A folder that lasts as long as a test, in memory where that can be had: for tests of anything but the disk itself. */
#ifndef DROPWISE_TESTS_SCRATCH_H
#define DROPWISE_TESTS_SCRATCH_H

#include <ftw.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <unistd.h>

enum { SCRATCH_ROOM = 64 };

/* Makes it, with the name of what it is for in its own; false: errno says why not. */
static inline bool scratch_make(char path[SCRATCH_ROOM], const char *what) {
  snprintf(path, SCRATCH_ROOM, "%s/dropwise-%s-XXXXXX", access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp",
           what);
  return mkdtemp(path) != NULL;
}

static inline int scratch_remove_one(const char *path, const struct stat *st, int kind, struct FTW *where) {
  (void)st, (void)kind, (void)where;
  return remove(path);
}

/* Takes it away with all that is in it; 0, or what could not be taken away is still there. */
static inline int scratch_remove(const char *path) {
  return nftw(path, scratch_remove_one, 16, FTW_DEPTH | FTW_PHYS);
}

#endif
