/* What a child gives up before it runs foreign code. System calls only: see child.h on threads. */
#include "base/confine.h"

#include "base/sanitized.h"

#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <unistd.h>

/* What a plugin may allocate beyond what the host already has mapped. */
#define ROOM_BYTES ((rlim_t)512 << 20)

static void signals_reset(void) {
  struct sigaction standard = {0};
  standard.sa_handler = SIG_DFL;
  for (int s = 1; s < NSIG; s++) sigaction(s, &standard, NULL); /* fails for KILL, STOP: nothing to reset */
  sigset_t none;
  sigemptyset(&none);
  sigprocmask(SIG_SETMASK, &none, NULL);
}

static void close_between(unsigned first, unsigned last) {
  if (first > last || close_range(first, last, 0) == 0) return;
  long most = sysconf(_SC_OPEN_MAX); /* a kernel before 5.9 */
  unsigned end = most > 0 && most < 65536 ? (unsigned)most : 65536;
  for (unsigned fd = first; fd <= last && fd < end; fd++) close((int)fd);
}

/* A plugin's author may want to see what it prints. */
bool dw__messages_wanted(void) {
  const char *wish = getenv("DROPWISE_PLUGIN_STDERR");
  return wish && *wish && *wish != '0';
}

static int files_give_up(int keep_fd) {
  /* A host that closed its standard streams may have been given their numbers for the pipe. */
  int keep = keep_fd > 2 ? keep_fd : fcntl(keep_fd, F_DUPFD, 3);
  int null = open("/dev/null", O_RDWR);
  if (keep < 0 || null < 0) _exit(1);
  for (int fd = 0; fd < (dw__messages_wanted() ? 2 : 3); fd++) dup2(null, fd);
  close_between(3, (unsigned)keep - 1);
  close_between((unsigned)keep + 1, UINT_MAX);
  return keep;
}

static void limit_set(int what, rlim_t value) {
  struct rlimit now;
  if (getrlimit((__rlimit_resource_t)what, &now)) return;
  if (now.rlim_max != RLIM_INFINITY && value > now.rlim_max) value = now.rlim_max;
  setrlimit((__rlimit_resource_t)what, &(struct rlimit){value, value});
}

#ifndef DW__SANITIZER
/* Bytes mapped now: the first number of /proc/self/statm, in pages. 0 when it can't be read. */
static rlim_t mapped_bytes(void) {
  char text[64] = "";
  int fd = open("/proc/self/statm", O_RDONLY | O_CLOEXEC);
  if (fd < 0) return 0;
  if (read(fd, text, sizeof text - 1) < 0) text[0] = '\0';
  close(fd);
  return (rlim_t)strtoull(text, NULL, 10) * (rlim_t)sysconf(_SC_PAGESIZE);
}
#endif

static void limits_set(double limit_s) {
  limit_set(RLIMIT_CORE, 0);
  limit_set(RLIMIT_FSIZE, 0);
  limit_set(RLIMIT_CPU,
            (rlim_t)limit_s + 2); /* whole seconds; behind the wall clock, which the host watches */
#ifndef DW__SANITIZER             /* its shadow alone takes terabytes of address space */
  rlim_t mapped = mapped_bytes();
  if (mapped) limit_set(RLIMIT_AS, mapped + ROOM_BYTES);
#endif
}

int dw__confine(int keep_fd, int host_pid, double limit_s) {
  setpgid(0, 0);
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  if (getppid() != host_pid) _exit(1); /* the host died before the line above */
  prctl(PR_SET_DUMPABLE, 0);
  prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0);
  signals_reset();
  int keep = files_give_up(keep_fd);
  limits_set(limit_s);
  return keep;
}
