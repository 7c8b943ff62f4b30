/* Work done apart: a function run in a child process, its answer a block of fixed size, its time limited.
 *
 * The host may have threads. Between fork and the job's function the child only makes system calls; from then
 * on it is a process of one thread, in which glibc keeps malloc and stdio usable (its own fork handlers see
 * to that). A lock that another thread held in some other library at the moment of the fork stays locked in
 * the child: the worst that comes of it is a child that waits until its time is up. The host's own memory,
 * files and locks can't be touched from the child; it can still do what its user may do (open files, send
 * signals): this guards against faults, not against malice. */
#ifndef POURTONE_ADVISE_CHILD_H
#define POURTONE_ADVISE_CHILD_H

#include "pourtone/base.h"

typedef enum pt__end {
  PT__END_ANSWERED,   /* the whole answer came */
  PT__END_SILENT,     /* ended by itself, no whole answer; detail: its exit code */
  PT__END_CRASHED,    /* detail: the signal */
  PT__END_LATE,       /* stopped at the limit */
  PT__END_NOT_STARTED /* detail: errno */
} pt__end;

typedef struct pt__job {
  void (*run)(void *arg, void *answer); /* in the child; fills answer, which holds what it held in the host */
  void *arg;
  void
      *answer; /* answer_size bytes in the host, overwritten only by what the child sent; not to be trusted */
  size_t answer_size;
  double limit_s;
  pt__end end; /* out */
  int detail;  /* out */
} pt__job;

/* Runs n jobs, at most at_once (1..8) at a time, and returns when every child and its process group is gone.
 * Never fails as a whole: each job tells how it ended. Thread-safe for distinct jobs. */
void pt__jobs_run(pt__job *jobs, size_t n, size_t at_once);

/* How a job that did not answer ended: "crashed (Segmentation fault)", "took longer than 5 s". */
void pt__job_words(const pt__job *job, char *out, size_t room);

/* In the child, before foreign code runs: own process group, dies with the host, default signals, standard
 * streams to /dev/null, every file but keep_fd closed, no core, no file growth, limits on processor time and
 * address space. Returns keep_fd's number, which may have moved. */
int pt__confine(int keep_fd, int host_pid, double limit_s);

#endif
