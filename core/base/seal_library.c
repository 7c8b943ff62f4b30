/* A seal for foreign code that is still to be loaded. Its very loading runs it (constructors), so the seal
 * comes first; but the loader opens the library by its name. The files it needs are therefore opened before
 * the seal. Behind it a call that asks for a file by name raises SIGSYS, whose handler answers with a copy of
 * one of these numbers or with EPERM. The handler has no more rights than the foreign code itself: the kernel
 * opens nothing by name any more, whoever asks. */
#include "base/seal_filter.h"
#include "dropwise/seal.h"

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <gnu/libc-version.h>
#include <libgen.h>
#include <signal.h>
#include <stdint.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <ucontext.h>
#include <unistd.h>

/* ---- what may be opened -------------------------------------------------------------------------------- */

/* Beside the C library: what C and C++ compilers have a library load. */
static const char *const runtime[] = {"libm.so.6", "libmvec.so.1", "libstdc++.so.6", "libgcc_s.so.1"};
enum { N_RUNTIME = sizeof runtime / sizeof *runtime };

/* The process is one of one thread and sealed once. */
static struct {
  const char *library; /* its path */
  int library_fd, runtime_fd[N_RUNTIME];
} opened = {NULL, -1, {-1, -1, -1, -1}};

static void open_runtime(void) {
  char folder[512];
  Dl_info libc;
  if (!dladdr((const void *)(uintptr_t)gnu_get_libc_version, &libc) || !libc.dli_fname ||
      !dw_copy_text(folder, sizeof folder, libc.dli_fname))
    return;
  int at = open(dirname(folder), O_PATH | O_DIRECTORY | O_CLOEXEC);
  for (size_t i = 0; i < N_RUNTIME && at >= 0; i++)
    opened.runtime_fd[i] = openat(at, runtime[i], O_RDONLY | O_CLOEXEC);
  if (at >= 0) close(at);
}

static int number_of(const char *path) {
  const char *slash = strrchr(path, '/');
  if (strcmp(path, opened.library) == 0) return opened.library_fd;
  for (size_t i = 0; i < N_RUNTIME; i++)
    if (slash && strcmp(slash + 1, runtime[i]) == 0) return opened.runtime_fd[i];
  return -1;
}

/* ---- calls that ask by name ---------------------------------------------------------------------------- */

static long fault(long result) {
  return result < 0 ? -errno : result;
}

static long answer_open(const char *path, int flags) {
  const int fd = (flags & O_ACCMODE) == O_RDONLY ? number_of(path) : -1;
  if (fd < 0 || lseek(fd, 0, SEEK_SET) < 0) return -EPERM;
  return fault(syscall(SYS_dup, fd));
}

/* The C library asks what an open file is by an empty name. */
static long answer_stat(int fd, const char *path, void *out, int flags) {
  if (!(flags & AT_EMPTY_PATH) || *path) return -EPERM;
  return fault(syscall(SYS_fstat, fd, out));
}

#if defined(__x86_64__)
#define ARGUMENT(context, i)                                                                                 \
  ((context)->uc_mcontext.gregs[(const int[]){REG_RDI, REG_RSI, REG_RDX, REG_R10}[i]])
#define RESULT(context) (context)->uc_mcontext.gregs[REG_RAX]
#define AS_RESULT(value) (value)
#elif defined(__aarch64__)
#define ARGUMENT(context, i) ((context)->uc_mcontext.regs[i])
#define RESULT(context) (context)->uc_mcontext.regs[0]
#define AS_RESULT(value) (uint64_t)(value)
#endif

#ifdef RESULT

static void answer(int signal, siginfo_t *info, void *context) {
  enum { BY_THE_FILTER = 1 }; /* SYS_SECCOMP */
  ucontext_t *at = context;
  const int kept = errno;
  (void)signal;
  if (info->si_code != BY_THE_FILTER) return;
  const long result = info->si_syscall == SYS_openat
                          ? answer_open((const char *)(uintptr_t)ARGUMENT(at, 1), (int)ARGUMENT(at, 2))
                          : answer_stat((int)ARGUMENT(at, 0), (const char *)(uintptr_t)ARGUMENT(at, 1),
                                        (void *)(uintptr_t)ARGUMENT(at, 2), (int)ARGUMENT(at, 3));
  RESULT(at) = AS_RESULT(result);
  errno = kept;
}

static bool handler_set(void) {
  struct sigaction handle = {.sa_flags = SA_SIGINFO | SA_NODEFER};
  handle.sa_sigaction = answer;
  return sigaction(SIGSYS, &handle, NULL) == 0;
}

#else

static bool handler_set(void) {
  return false;
}

#endif

/* ---- the whole ----------------------------------------------------------------------------------------- */

dw_status dw_seal_for_library(const char *path, int channel, int messages, dw_error *err) {
  if (!dw__filter_there())
    return dw_fail(err, DW_UNSUPPORTED,
                   "The kernel's filter of system calls (seccomp) can't be set on this system.");
  opened.library = path;
  opened.library_fd = open(path, O_RDONLY | O_CLOEXEC);
  open_runtime();
  bool set = handler_set() && dw__seal_close(DW__FOR_A_LIBRARY, channel, messages);
  return set ? DW_OK : dw_fail(err, DW_IO, "The seal of a process can't be set on this system.");
}
