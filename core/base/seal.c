/* The kernel's filter of system calls (seccomp, mode 2): a short list of what decoding needs, no more. */
#include "dropwise/child.h"

#include <errno.h>
#include <fcntl.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <sys/prctl.h>
#include <sys/syscall.h>

#if defined(__x86_64__)
#define OWN_ARCH AUDIT_ARCH_X86_64
#elif defined(__aarch64__)
#define OWN_ARCH AUDIT_ARCH_AARCH64
#endif

#ifdef OWN_ARCH

static const int allowed[] = {
    /* files already open, memory */
    SYS_read, SYS_pread64, SYS_lseek, SYS_write, SYS_close, SYS_fstat, SYS_newfstatat, SYS_mmap, SYS_munmap,
    SYS_mremap, SYS_mprotect, SYS_madvise, SYS_brk, SYS_fcntl,
    /* ending, by itself or by abort() */
    SYS_exit, SYS_exit_group, SYS_getpid, SYS_gettid, SYS_tgkill, SYS_rt_sigreturn, SYS_rt_sigaction,
    SYS_rt_sigprocmask,
    /* what the C library and the sanitizers ask for in between */
    SYS_futex, SYS_getrandom, SYS_clock_gettime, SYS_sched_yield, SYS_sigaltstack};

enum { N_ALLOWED = sizeof allowed / sizeof *allowed };

#define LOAD(field)                                                                                          \
  (struct sock_filter) BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, field))
#define GIVE(value) (struct sock_filter) BPF_STMT(BPF_RET | BPF_K, value)
#define UNLESS_EQUAL(value, skip) (struct sock_filter) BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, value, 0, skip)

bool dw_child_seal(void) {
  struct sock_filter code[16 + 2 * N_ALLOWED];
  unsigned short n = 0;
  code[n++] = LOAD(arch);
  code[n++] = UNLESS_EQUAL(OWN_ARCH, 1);
  code[n++] = LOAD(nr);
  code[n++] = UNLESS_EQUAL(SYS_openat, 4); /* for reading only; of another architecture no number is known */
  code[n++] = LOAD(args[2]);
  code[n++] = (struct sock_filter)BPF_JUMP(BPF_JMP | BPF_JSET | BPF_K, O_ACCMODE | O_CREAT | O_TRUNC, 1, 0);
  code[n++] = GIVE(SECCOMP_RET_ALLOW);
  code[n++] = GIVE(SECCOMP_RET_ERRNO | EPERM);
  for (int i = 0; i < N_ALLOWED; i++) {
    code[n++] = UNLESS_EQUAL((unsigned)allowed[i], 1);
    code[n++] = GIVE(SECCOMP_RET_ALLOW);
  }
  code[n++] = GIVE(SECCOMP_RET_ERRNO | EPERM);
  struct sock_fprog program = {n, code};
  return prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0 &&
         prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) == 0;
}

#else

bool dw_child_seal(void) {
  return false;
}

#endif
