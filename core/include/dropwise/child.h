/* Work done apart: a function run in a child process, its answer a block of fixed size, its time limited.
 *
 * The host may have threads. Between fork and the job's function the child only makes system calls; from then
 * on it is a process of one thread, in which glibc keeps malloc and stdio usable (its own fork handlers see
 * to that). A lock that another thread held in some other library at the moment of the fork stays locked in
 * the child: the worst that comes of it is a child that waits until its time is up. The host's own memory,
 * files and locks can't be touched from the child. A job that loads a library is also sealed
 * (dropwise/seal.h), where the system can; any other child can still do what its user may do (open files,
 * send signals). */
#ifndef DROPWISE_CHILD_H
#define DROPWISE_CHILD_H

#include "dropwise/base.h"

typedef enum dw_end {
  DW_END_ANSWERED,   /* the whole answer came */
  DW_END_SILENT,     /* ended by itself, no whole answer; detail: its exit code */
  DW_END_CRASHED,    /* detail: the signal */
  DW_END_LATE,       /* stopped at the limit */
  DW_END_NOT_STARTED /* detail: errno */
} dw_end;

typedef struct dw_job {
  void (*run)(void *arg, void *answer); /* in the child; fills answer, which holds what it held in the host */
  void *arg;
  void
      *answer; /* answer_size bytes in the host, overwritten only by what the child sent; not to be trusted */
  size_t answer_size;
  double limit_s;
  const char *library; /* run loads it, and nothing else is let through; NULL: none, and no seal. Absolute */
  dw_end end;          /* out */
  int detail;          /* out */
  bool sealed;         /* out, known of a job whose child came so far: it ran sealed */
} dw_job;

/* Runs n jobs, at most at_once (1..8) at a time, and returns when every child and its process group is gone.
 * Never fails as a whole: each job tells how it ended. Thread-safe for distinct jobs. */
void dw_jobs_run(dw_job *jobs, size_t n, size_t at_once);

/* How a job that did not answer ended: "crashed (Segmentation fault)", "took longer than 5 s". */
void dw_job_words(const dw_job *job, char *out, size_t room);

#endif
