#include "branch.h"

#include "control.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

enum { FILES = 64 };

static pid_t program; /* 0: no copies are asked for */

bool branch_start(void) {
  if (fcntl(SWEEP_BRANCHES, F_GETFD) < 0) return false;
  fcntl(SWEEP_BRANCHES, F_SETFD, FD_CLOEXEC);
  program = getpid();
  return true;
}

/* ---- whether a copy is the whole ------------------------------------------------------------------------ */

static bool is_alone(void) {
  struct stat tasks;
  siginfo_t about;
  enum { ITSELF_AND_ONE = 3 };
  return getpid() == program && stat("/proc/self/task", &tasks) == 0 && tasks.st_nlink == ITSELF_AND_ONE &&
         waitid(P_ALL, 0, &about, WEXITED | WNOHANG | WNOWAIT) != 0;
}

/* The driver can put back what has a name in the folder, and the standard streams. */
static bool can_be_put_back(int fd) {
  struct stat st;
  if (fd <= STDERR_FILENO || fd == SWEEP_SOCKET || fstat(fd, &st)) return true;
  return S_ISREG(st.st_mode) ? st.st_nlink > 0 : S_ISDIR(st.st_mode) || S_ISCHR(st.st_mode);
}

/* Takes where each descriptor stands: the copy moves them, too. */
static bool take_offsets(off_t at[FILES]) {
  for (int fd = 0; fd < FILES; fd++) {
    if (!can_be_put_back(fd)) return false;
    at[fd] = lseek(fd, 0, SEEK_CUR);
  }
  return true;
}

static void put_offsets(const off_t at[FILES]) {
  for (int fd = 0; fd < FILES; fd++)
    if (at[fd] >= 0) lseek(fd, at[fd], SEEK_SET);
}

/* ---- the copy ------------------------------------------------------------------------------------------- */

static void tell(long word) {
  if (send(SWEEP_BRANCHES, &word, sizeof word, MSG_NOSIGNAL) != sizeof word) _exit(97);
}

static long hear(void) {
  long word = 0;
  ssize_t n;
  do n = recv(SWEEP_BRANCHES, &word, sizeof word, 0);
  while (n < 0 && errno == EINTR);
  if (n != sizeof word) _exit(97);
  return word;
}

/* Without the C library: what it knows of its thread stays as it is, so that locks that the thread holds are the copy's,
 * too. No signal tells of the copy's end, which the program has no part in. */
static pid_t copy_itself(void) {
  return (pid_t)syscall(SYS_clone, 0, NULL, NULL, NULL, NULL);
}

static bool branch_wanted(long n) {
  off_t at[FILES];
  int status = 0;
  if (!is_alone() || !take_offsets(at)) return false;
  tell(n);
  if (!hear()) return false;
  pid_t pid = copy_itself();
  if (pid == 0) {
    program = -1;
    return true;
  }
  if (pid < 0) _exit(97);
  tell(pid);
  while (waitpid(pid, &status, __WALL) < 0 && errno == EINTR) continue;
  tell(status);
  hear();
  put_offsets(at);
  return false;
}

bool branch_here(long n) {
  int before = errno;
  bool copy = branch_wanted(n);
  errno = before;
  return copy;
}

/* ---- locks ---------------------------------------------------------------------------------------------- */

/* A process's locks on files never stand in its own way; a copy's would stand in the way of its original. So where there
 * are copies there are no locks: nobody else is at the files. */
static int fcntl_any(int fd, int command, void *argument) {
  bool locks = command == F_SETLK || command == F_SETLKW || command == F_GETLK;
  if (!program || !locks) return (int)syscall(SYS_fcntl, fd, command, argument);
  if (command == F_GETLK) ((struct flock *)argument)->l_type = F_UNLCK;
  return 0;
}

#define EXPORT __attribute__((visibility("default")))

EXPORT int fcntl(int fd, int command, ...) {
  va_list rest;
  va_start(rest, command);
  void *argument = va_arg(rest, void *);
  va_end(rest);
  return fcntl_any(fd, command, argument);
}

EXPORT int fcntl64(int fd, int command, ...) {
  va_list rest;
  va_start(rest, command);
  void *argument = va_arg(rest, void *);
  va_end(rest);
  return fcntl_any(fd, command, argument);
}
