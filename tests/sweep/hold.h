/* A folder as it is at a moment, and back to that while a program has its files open and mapped: the files themselves
 * stay, by further names for them, and get their content back. */
#ifndef DROPWISE_TESTS_SWEEP_HOLD_H
#define DROPWISE_TESTS_SWEEP_HOLD_H

#include <stddef.h>

enum { SWEEP_HELD_MAX = 40 };

typedef struct sweep_held {
  char name[80], link[160]; /* in the folder; the further name */
  int fd;
  char *bytes;
  size_t n;
  int seen;
} sweep_held;

typedef struct sweep_hold {
  char folder[80], links[80]; /* links: another folder of the same file system */
  sweep_held files[SWEEP_HELD_MAX];
  size_t n;
  long named;
} sweep_hold;

/* The moment is now. Start with the folders' names and zeros. A fault ends the driver. */
void sweep_hold_take(sweep_hold *hold);
/* Puts the folder back to the moment. */
void sweep_hold_put(sweep_hold *hold);
void sweep_hold_free(sweep_hold *hold);

#endif
