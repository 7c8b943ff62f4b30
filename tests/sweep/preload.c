/* Loaded before the C library into a program that is swept: fails one of its allocations, and hands its system calls
 * that change files, or those that read, to the driver, which answers some of them with an error. */
#include "alloc.h"
#include "branch.h"
#include "control.h"

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <pthread.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <unistd.h>

#define EXPORT __attribute__((visibility("default")))

static sweep_control *control;
static bool counts, branches;

static void find_control(void) {
  const char *path = getenv(SWEEP_CONTROL);
  int fd = path ? open(path, O_RDWR | O_CLOEXEC) : -1;
  if (fd < 0) return;
  void *memory = mmap(NULL, sizeof *control, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
  close(fd);
  if (memory == MAP_FAILED) return;
  control = memory;
  counts = strcmp(control->program, program_invocation_short_name) == 0;
  branches = counts && branch_start();
}

/* In a copy of the program one allocation has failed, and no further one counts. */
static bool is_the_one(long n, long at) {
  if (!branches) return n == at;
  if (n < at || !branch_here(n)) return false;
  counts = false;
  return true;
}

bool sweep_fails(void) {
  if (!counts) return false;
  long n = atomic_fetch_add(&control->count, 1) + 1, at = atomic_load(&control->at);
  if (!is_the_one(n, at)) return false;
  return true;
}

/* ---- system calls ------------------------------------------------------------------------------------- */

static const int reads[] = {SYS_read, SYS_readv, SYS_pread64, SYS_preadv};
static const int changes[] = {
    SYS_write,     SYS_writev,    SYS_pwrite64, SYS_pwritev, SYS_fsync,  SYS_fdatasync, SYS_openat,
    SYS_renameat2, SYS_ftruncate, SYS_unlinkat, SYS_close,   SYS_linkat, SYS_mkdirat,   SYS_renameat,
#ifdef SYS_open
    SYS_open,      SYS_rename,    SYS_unlink,   SYS_link,    SYS_mkdir,
#endif
};
enum { READS = sizeof reads / sizeof *reads, CHANGES = sizeof changes / sizeof *changes };

static int listen_to_calls(void) {
  const int *calls = control->reads ? reads : changes;
  unsigned short n = control->reads ? READS : CHANGES;
  struct sock_filter code[CHANGES + 3] = {
      BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr))};
  for (unsigned i = 0; i < n; i++)
    code[1 + i] = (struct sock_filter)BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, (unsigned)calls[i],
                                               (unsigned char)(n - i), 0);
  code[n + 1] = (struct sock_filter)BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW);
  code[n + 2] = (struct sock_filter)BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_USER_NOTIF);
  struct sock_fprog program = {(unsigned short)(n + 3), code};
  if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0)) return -1;
  return (int)syscall(SYS_seccomp, SECCOMP_SET_MODE_FILTER, SECCOMP_FILTER_FLAG_NEW_LISTENER, &program);
}

static void send_listener(int listener) {
  char byte = 0, room[CMSG_SPACE(sizeof listener)] = {0};
  struct iovec data = {&byte, 1};
  struct msghdr message = {
      .msg_iov = &data, .msg_iovlen = 1, .msg_control = room, .msg_controllen = sizeof room};
  struct cmsghdr *head = CMSG_FIRSTHDR(&message);
  head->cmsg_level = SOL_SOCKET;
  head->cmsg_type = SCM_RIGHTS;
  head->cmsg_len = CMSG_LEN(sizeof listener);
  memcpy(CMSG_DATA(head), &listener, sizeof listener);
  if (sendmsg(SWEEP_SOCKET, &message, 0) != 1) _exit(99);
}

static void start_listening(void) {
  if (!control || fcntl(SWEEP_SOCKET, F_GETFD) < 0 || atomic_exchange(&control->listens, 1)) return;
  fcntl(SWEEP_SOCKET, F_SETFD, FD_CLOEXEC);
  int listener = listen_to_calls();
  if (listener < 0) _exit(98);
  send_listener(listener);
}

/* ---- the beginning ------------------------------------------------------------------------------------- */

typedef int main_function(int, char **, char **);
typedef int start_function(main_function *, int, char **, void (*)(void), void (*)(void), void (*)(void),
                           void *);

static main_function *own_main;

static void stop_counting(void) {
  if (!control->with_children) counts = false;
}

/* What happens before is the loader's and the libraries' own start, which the program has no part in. */
static int main_swept(int argc, char **argv, char **environment) {
  find_control();
  if (counts) pthread_atfork(NULL, NULL, stop_counting);
  start_listening();
  return own_main(argc, argv, environment);
}

EXPORT int __libc_start_main(main_function *main, int argc, char **argv, void (*init)(void),
                             void (*fini)(void), void (*rtld_fini)(void), void *stack_end) {
  start_function *start = NULL;
  *(void **)&start = dlsym(RTLD_NEXT, "__libc_start_main");
  own_main = main;
  return start(main_swept, argc, argv, init, fini, rtld_fini, stack_end);
}
