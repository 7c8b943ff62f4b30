/* What the driver of a sweep and the preload in the swept programs share: one page of memory, by its file. */
#ifndef DROPWISE_TESTS_SWEEP_CONTROL_H
#define DROPWISE_TESTS_SWEEP_CONTROL_H

#include <stdatomic.h>

/* Names the file to the preload; without it nothing fails. */
#define SWEEP_CONTROL "DROPWISE_SWEEP"
/* Where the preload sends the listener of its filter of system calls, if the driver has a socket there. */
enum { SWEEP_SOCKET = 200 };
/* Where the preload asks the driver at which allocations a copy of the program should go on; branch.h. */
enum { SWEEP_BRANCHES = 201 };

typedef struct sweep_control {
  char program[32];  /* whose allocations count */
  int with_children; /* those of its forked children, too */
  atomic_long
      at; /* the allocation that fails, from 1; 0: none. Of copies: the first to ask the driver about */
  atomic_long count;  /* allocations so far */
  atomic_int listens; /* the filter of system calls is in place */
  int reads;          /* it hands over those that read, else those that change files */
} sweep_control;

#endif
