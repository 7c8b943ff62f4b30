/* The system calls of a swept program, all that it starts included: one of them fails, or gives less than it has. */
#ifndef DROPWISE_TESTS_SWEEP_CALLS_H
#define DROPWISE_TESTS_SWEEP_CALLS_H

#include <stdatomic.h>
#include <stdbool.h>
#include <sys/types.h>

/* Instead of an error: the read gives half of what there is. */
enum { SWEEP_SHORT = -1 };

/* Whose calls count: the program's and those of all that it starts; its own only; its own and those of every sixth
 * process that it starts, where many do the same. */
typedef enum sweep_whose { SWEEP_ALL, SWEEP_OWN, SWEEP_SOME } sweep_whose;

typedef struct sweep_call {
  int number;
  bool fills; /* a full disk can meet it */
  int row;    /* how many calls of its kind on its descriptor stand right before it */
} sweep_call;

enum { SWEEP_CALLS_MAX = 4096, SWEEP_PROCESSES_MAX = 64 };

typedef struct sweep_watch {
  sweep_whose whose;
  int socket;       /* where the preload sends its listener; taken over */
  int listener;     /* -1: not there yet, or no more */
  atomic_long at;   /* the call that fails, from 1; 0: none */
  int error;        /* with what; or SWEEP_SHORT */
  sweep_call *seen; /* [SWEEP_CALLS_MAX], from 1: what the calls are; NULL: not asked */
  atomic_long count;
  int call; /* the number of the one that failed; -1: none did */
  int previous_fd, row;
  int n_processes;
  pid_t processes[SWEEP_PROCESSES_MAX];
} sweep_watch;

/* Answers until the process that the descriptor stands for has ended, or for so many seconds (0: without end); says
 * whether it has. Closes the socket and the listener. */
bool sweep_watch_calls(sweep_watch *watch, int pidfd, int limit_s);

#endif
