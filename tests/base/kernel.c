#include "kernel.h"

#include <errno.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <stddef.h>
#include <sys/prctl.h>
#include <sys/syscall.h>
#include <unistd.h>

enum { LANDLOCK_FIRST = 444, LANDLOCK_LAST = 446 };

#define LOAD(field) BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, field))
#define GIVE(value) BPF_STMT(BPF_RET | BPF_K, value)

static void filter_in(struct sock_filter *code, size_t n) {
  struct sock_fprog program = {(unsigned short)n, code};
  if (prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) || prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program))
    _exit(9);
}

void kernel_play(kernel which) {
  struct sock_filter no_landlock[] = {LOAD(nr), BPF_JUMP(BPF_JMP | BPF_JGE | BPF_K, LANDLOCK_FIRST, 0, 2),
                                      BPF_JUMP(BPF_JMP | BPF_JGT | BPF_K, LANDLOCK_LAST, 1, 0),
                                      GIVE(SECCOMP_RET_ERRNO | ENOSYS), GIVE(SECCOMP_RET_ALLOW)};
  struct sock_filter no_seccomp[] = {LOAD(nr),
                                     BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_prctl, 0, 3),
                                     LOAD(args[0]),
                                     BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, PR_SET_SECCOMP, 0, 1),
                                     GIVE(SECCOMP_RET_ERRNO | EINVAL),
                                     GIVE(SECCOMP_RET_ALLOW)};
  if (which == NO_LANDLOCK) filter_in(no_landlock, sizeof no_landlock / sizeof *no_landlock);
  if (which == NO_SECCOMP) filter_in(no_seccomp, sizeof no_seccomp / sizeof *no_seccomp);
}

bool kernel_has_landlock(void) {
  return syscall(LANDLOCK_FIRST, NULL, 0, 1) > 0;
}
