/* One run of a swept program, with the fault that it met. */
#ifndef DROPWISE_TESTS_SWEEP_RUN_H
#define DROPWISE_TESTS_SWEEP_RUN_H

#include "calls.h"
#include "control.h"

#include <stdbool.h>
#include <stddef.h>
#include <sys/types.h>

typedef enum sweep_kind {
  SWEEP_ALLOCATIONS, /* of the program named and its forked children */
  SWEEP_CHANGES,     /* system calls that change files, of it and all that it starts */
  SWEEP_READS        /* those that read, of the same */
} sweep_kind;

/* "allocations", "calls", "reads", as the tests are started with. */
sweep_kind sweep_kind_of(const char *word);

typedef struct sweep_fault {
  sweep_kind kind;
  const char *program; /* "dropwise", "dropwise-decode" ... */
  sweep_whose whose;
  long at;          /* from 1; 0: none */
  int error;        /* what the system call fails with; SWEEP_SHORT */
  sweep_call *seen; /* [SWEEP_CALLS_MAX]: where to note the system calls; NULL: nowhere */
} sweep_fault;

typedef struct sweep_run {
  int code;        /* the exit code; or minus the signal that ended it; SWEEP_LATE */
  long count;      /* of allocations or system calls that could have failed */
  int call;        /* the number of the system call that failed; -1: none */
  char *out, *err; /* what was written to the standard streams, terminated */
  size_t n_out, n_err;
} sweep_run;

enum { SWEEP_LATE = -1000, SWEEP_LIMIT_S = 60 };

/* words   NULL-terminated; the first is the program's path
 * folder  where it runs
 * run     what it gave is freed by the next run in it, or by sweep_run_free; zero it first
 * A fault of the driver itself ends the driver. */
void sweep_run_one(char *const *words, const char *folder, const sweep_fault *fault, sweep_run *run);
void sweep_run_free(sweep_run *run);
/* The allocation to fail behind this one: the next, or in the usual sweeps every 200th behind the first 300. */
long sweep_next(long at, bool all);
/* The first of those from this one on. */
long sweep_wanted(long at, bool all);

/* The shared page; its file is named to the programs by SWEEP_CONTROL. */
sweep_control *sweep_control_get(void);
/* Prepares the page for a program that is started next. */
void sweep_arm(const sweep_fault *fault);
/* Starts a program that this page is for, for as long as it likes; out, err  its streams; socket  its way to the driver;
 * -1: none; as  SWEEP_SOCKET or SWEEP_BRANCHES. */
pid_t sweep_start(char *const *words, const char *folder, int out, int err, int socket, int as);
/* Empty files for a program's standard streams, the same ones each time; and what is in them, into the run. */
void sweep_streams_fresh(int *out, int *err);
void sweep_streams_take(int out, int err, sweep_run *run);
/* Ends the driver with errno's words. */
_Noreturn void sweep_give_up(const char *what);

#endif
