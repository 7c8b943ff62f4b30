#include "base/confine.h"

#include "dropwise/child.h"
#include "dropwise/seal.h"

#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/pidfd.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { AT_ONCE_MAX = 8 };

/* A child at work. The pidfd tells of its death even when some grandchild holds the pipe open. */
typedef struct running {
  dw_job *job; /* NULL: this place is free */
  pid_t pid;
  int pipe, pidfd; /* -1 when closed or not to be had */
  bool told;       /* the first byte came */
  size_t got;
  double deadline_s;
} running;

static double now_s(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* ---- in the child ----------------------------------------------------------------------------------- */

/* A plugin that calls exit() must not run the host's own exit handlers. */
static void leave(void) {
  _exit(0);
}

static void send_all(int fd, const char *bytes, size_t size) {
  for (size_t sent = 0; sent < size;) {
    ssize_t n = write(fd, bytes + sent, size - sent);
    if (n < 0 && errno != EINTR) _exit(1);
    if (n > 0) sent += (size_t)n;
  }
}

/* The first byte that a child sends. */
enum { SEALED = 'S', UNSEALED = 'U' };

/* Where there is no seal to be had the job runs all the same, and that is told. */
static char seal(const dw_job *job, int fd) {
  dw_error why;
  dw_status status = dw_seal_for_library(job->library, fd, dw__messages_wanted() ? STDERR_FILENO : fd, &why);
  if (status != DW_OK && status != DW_UNSUPPORTED) _exit(1);
  return status == DW_OK ? SEALED : UNSEALED;
}

static void child_work(const dw_job *job, int fd, pid_t host) {
  fd = dw__confine(fd, host, job->limit_s);
  atexit(leave);
  const char sealed = job->library ? seal(job, fd) : UNSEALED;
  send_all(fd, &sealed, 1); /* before any foreign code runs */
  job->run(job->arg, job->answer);
  send_all(fd, job->answer, job->answer_size);
  _exit(0);
}

/* ---- in the host ------------------------------------------------------------------------------------ */

static void not_started(dw_job *job) {
  job->end = DW_END_NOT_STARTED;
  job->detail = errno;
}

static void start(running *r, dw_job *job) {
  int ends[2];
  if (pipe2(ends, O_CLOEXEC)) {
    not_started(job);
    return;
  }
  /* No handler of the host may run in the child before it has reset them. */
  sigset_t all, before;
  sigfillset(&all);
  pthread_sigmask(SIG_SETMASK, &all, &before);
  pid_t host = getpid();
  pid_t pid = fork();
  if (pid == 0) child_work(job, ends[1], host);
  int fork_errno = errno;
  pthread_sigmask(SIG_SETMASK, &before, NULL);
  close(ends[1]);
  if (pid < 0) {
    close(ends[0]);
    errno = fork_errno;
    not_started(job);
    return;
  }
  setpgid(pid, pid); /* the child does the same: whoever comes first */
  fcntl(ends[0], F_SETFL, O_NONBLOCK);
  *r = (running){job, pid, ends[0], pidfd_open(pid, 0), false, 0, now_s() + job->limit_s};
}

static void pipe_close(running *r) {
  if (r->pipe >= 0) close(r->pipe);
  r->pipe = -1;
}

static ssize_t read_some(running *r) {
  if (r->told) return read(r->pipe, (char *)r->job->answer + r->got, r->job->answer_size - r->got);
  char sealed;
  ssize_t n = read(r->pipe, &sealed, 1);
  if (n == 1) r->job->sealed = sealed == SEALED;
  return n;
}

/* Takes what the pipe holds, never more than the answer's size; closes it at its end. */
static void take(running *r) {
  while (r->pipe >= 0 && r->got < r->job->answer_size) {
    ssize_t n = read_some(r);
    if (n > 0) {
      r->got += r->told ? (size_t)n : 0;
      r->told = true;
    } else if (n == 0 || (errno != EINTR && errno != EAGAIN)) {
      pipe_close(r);
    } else if (errno == EAGAIN) {
      return;
    }
  }
}

/* How a child ended that has not been reaped; false while it lives or when its fate can't be known. */
static bool fate(const running *r, dw_job *job) {
  siginfo_t info = {0};
  int rc;
  do rc = waitid(P_PID, (id_t)r->pid, &info, WEXITED | WNOHANG | WNOWAIT);
  while (rc && errno == EINTR);
  if (rc || info.si_pid != r->pid) return false;
  job->end = info.si_code == CLD_EXITED ? DW_END_SILENT : DW_END_CRASHED;
  job->detail = info.si_status;
  if (job->end == DW_END_CRASHED && job->detail == SIGXCPU) job->end = DW_END_LATE;
  return true;
}

/* Ends the child and all it started. Reaping comes last: until then its numbers are not given away. */
static void finish(running *r, dw_end end_if_alive) {
  dw_job *job = r->job;
  if (r->got == job->answer_size) {
    job->end = DW_END_ANSWERED;
    job->detail = 0;
  } else if (!fate(r, job)) {
    job->end = end_if_alive;
    job->detail = 0;
  }
  kill(-r->pid, SIGKILL);
  kill(r->pid, SIGKILL);
  pid_t reaped;
  do reaped = waitpid(r->pid, NULL, 0);
  while (reaped < 0 && errno == EINTR);
  pipe_close(r);
  if (r->pidfd >= 0) close(r->pidfd);
  r->job = NULL;
}

static void look_after(running *r, bool dead) {
  take(r);
  bool whole = r->got == r->job->answer_size;
  bool mute = r->pipe < 0 && r->pidfd < 0; /* nothing left to watch */
  if (whole || dead || mute) {
    finish(r, DW_END_SILENT);
  } else if (now_s() >= r->deadline_s) {
    finish(r, DW_END_LATE);
  }
}

/* Sleeps until a child speaks, dies or is late. */
static void watch(running *r, size_t places) {
  struct pollfd fds[2 * AT_ONCE_MAX];
  double wait_s = 60;
  for (size_t i = 0; i < places; i++) {
    bool busy = r[i].job != NULL;
    fds[2 * i] = (struct pollfd){busy ? r[i].pipe : -1, POLLIN, 0};
    fds[2 * i + 1] = (struct pollfd){busy ? r[i].pidfd : -1, POLLIN, 0};
    if (busy) wait_s = fmin(wait_s, r[i].deadline_s - now_s());
  }
  bool told = poll(fds, (nfds_t)(2 * places), (int)ceil(fmax(wait_s, 0) * 1000)) > 0;
  for (size_t i = 0; i < places; i++)
    if (r[i].job) look_after(&r[i], told && fds[2 * i + 1].revents);
}

void dw_jobs_run(dw_job *jobs, size_t n, size_t at_once) {
  running place[AT_ONCE_MAX] = {0};
  size_t places = at_once < 1 ? 1 : at_once > AT_ONCE_MAX ? AT_ONCE_MAX : at_once;
  size_t next = 0, busy;
  do {
    busy = 0;
    for (size_t i = 0; i < places; i++) {
      while (!place[i].job && next < n) start(&place[i], &jobs[next++]);
      busy += place[i].job != NULL;
    }
    if (busy) watch(place, places);
  } while (busy || next < n);
}

void dw_job_words(const dw_job *job, char *out, size_t room) {
  switch (job->end) {
  case DW_END_CRASHED: {
    const char *name = sigdescr_np(job->detail);
    snprintf(out, room, "crashed (%s)", name ? name : "by an unknown signal");
    break;
  }
  case DW_END_LATE:
    snprintf(out, room, "took longer than %g s and was stopped", job->limit_s);
    break;
  case DW_END_SILENT:
    snprintf(out, room, "ended without an answer (exit code %d)", job->detail);
    break;
  case DW_END_NOT_STARTED:
    snprintf(out, room, "could not be started: %s", strerrordesc_np(job->detail));
    break;
  default:
    snprintf(out, room, "answered");
  }
}
