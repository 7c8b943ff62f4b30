/* The seal of a process (dropwise/seal.h): limits, Landlock, and a filter with a short list of what decoding
 * needs. The filter is written out here, for the library that writes such filters (libseccomp) would be
 * loaded into the very process whose contents are to be few, for a list of 25 numbers. */
#include "dropwise/seal.h"

#include "base/sanitized.h"

#include <errno.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

#if defined(__x86_64__)
#define OWN_ARCH AUDIT_ARCH_X86_64
#elif defined(__aarch64__)
#define OWN_ARCH AUDIT_ARCH_AARCH64
#endif

/* ---- limits -------------------------------------------------------------------------------------------- */

static bool limit_set(int what, size_t value) {
  struct rlimit now;
  if (getrlimit((__rlimit_resource_t)what, &now)) return false;
  rlim_t most = value;
  if (now.rlim_max != RLIM_INFINITY && most > now.rlim_max) most = now.rlim_max;
  return setrlimit((__rlimit_resource_t)what, &(struct rlimit){most, most}) == 0;
}

static bool limits_set(const dw_seal_limits *limits) {
  enum { FILES = 16 };
  alarm(limits->life_s);
  bool set = limit_set(RLIMIT_CORE, 0) && limit_set(RLIMIT_FSIZE, 0) && limit_set(RLIMIT_NOFILE, FILES) &&
             limit_set(RLIMIT_CPU, limits->cpu_s);
#ifndef DW__ADDRESS_SANITIZER /* the sanitizers' shadow alone takes terabytes */
  set = set && limit_set(RLIMIT_DATA, limits->data_bytes) && limit_set(RLIMIT_AS, limits->all_bytes);
#endif
  return set;
}

/* ---- Landlock -------------------------------------------------------------------------------------------
 */

#ifndef SYS_landlock_create_ruleset
#define SYS_landlock_create_ruleset 444
#define SYS_landlock_restrict_self 446
#endif

/* linux/landlock.h of Linux 6.12; older headers have the first field only. */
typedef struct rules {
  uint64_t files, network, scopes;
} rules;

/* Everything that the running kernel's Landlock can forbid, by its version (from 1). */
static size_t rules_of(long version, rules *out) {
  *out = (rules){.files = version >= 5   ? 0xFFFF
                          : version >= 3 ? 0x7FFF
                          : version == 2 ? 0x3FFF
                                         : 0x1FFF,
                 .network = version >= 4 ? 3 : 0,
                 .scopes = version >= 6 ? 3 : 0};
  return version >= 6 ? 24 : version >= 4 ? 16 : 8;
}

/* True also where the kernel has no Landlock: the filter stands without it. */
static bool landlock_set(void) {
  long version = syscall(SYS_landlock_create_ruleset, NULL, 0, 1);
  if (version < 0) return errno == ENOSYS || errno == EOPNOTSUPP;
  rules all;
  size_t bytes = rules_of(version, &all);
  long fd = syscall(SYS_landlock_create_ruleset, &all, bytes, 0);
  if (fd < 0) return false;
  bool set = syscall(SYS_landlock_restrict_self, fd, 0) == 0; /* no rule allows anything */
  close((int)fd);
  return set;
}

/* ---- the filter -----------------------------------------------------------------------------------------
 */

#ifdef OWN_ARCH

typedef enum argument { ANY, FIRST_IS_CHANNEL, FIRST_IS_SELF, NOT_EXECUTABLE } argument;
typedef struct rule {
  int call;
  argument if_argument;
} rule;

static const rule allowed[] = {
    /* what is open already; no call that takes a name, not even for an empty one (newfstatat) */
    {SYS_read, ANY},
    {SYS_pread64, ANY},
    {SYS_lseek, ANY},
    {SYS_close, ANY},
    {SYS_fstat, ANY},
    {SYS_write, FIRST_IS_CHANNEL},
    {SYS_recvmsg, FIRST_IS_CHANNEL},
    /* memory */
    {SYS_brk, ANY},
    {SYS_mmap, NOT_EXECUTABLE},
    {SYS_mprotect, NOT_EXECUTABLE},
    {SYS_mremap, ANY},
    {SYS_munmap, ANY},
    {SYS_madvise, ANY},
    /* ending, also by abort() */
    {SYS_exit, ANY},
    {SYS_exit_group, ANY},
    {SYS_tgkill, FIRST_IS_SELF},
    {SYS_rt_sigreturn, ANY},
    /* what the C library asks for in between; waiting on nobody */
    {SYS_futex, ANY},
    {SYS_getrandom, ANY},
    {SYS_clock_gettime, ANY},
#ifdef DW__ADDRESS_SANITIZER /* reports, and the runtime's own bookkeeping; not in a program as built for    \
                                use */
    {SYS_getpid, ANY},
    {SYS_gettid, ANY},
    {SYS_sched_yield, ANY},
    {SYS_sigaltstack, ANY},
    {SYS_rt_sigaction, ANY},
    {SYS_rt_sigprocmask, ANY},
#endif
};

enum { N_ALLOWED = sizeof allowed / sizeof *allowed };

#define LOAD(field)                                                                                          \
  (struct sock_filter) BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, field))
#define GIVE(value) (struct sock_filter) BPF_STMT(BPF_RET | BPF_K, value)
#define UNLESS_EQUAL(value, skip) (struct sock_filter) BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, value, 0, skip)
#define REFUSE (SECCOMP_RET_ERRNO | EPERM)

/* Five instructions: the call's number is loaded; an argument is known by its low half, as the kernel takes
 * file numbers, process numbers and these bits. */
static unsigned short put_rule(struct sock_filter *code, const rule *r, unsigned channel) {
  unsigned short n = 0;
  code[n++] = UNLESS_EQUAL((unsigned)r->call, r->if_argument == ANY ? 1 : 4);
  switch (r->if_argument) {
  case ANY:
    break;
  case NOT_EXECUTABLE:
    code[n++] = LOAD(args[2]);
    code[n++] = (struct sock_filter)BPF_JUMP(BPF_JMP | BPF_JSET | BPF_K, PROT_EXEC, 0, 1);
    code[n++] = GIVE(REFUSE);
    break;
  default:
    code[n++] = LOAD(args[0]);
    code[n++] = (struct sock_filter)BPF_JUMP(
        BPF_JMP | BPF_JEQ | BPF_K, r->if_argument == FIRST_IS_SELF ? (unsigned)getpid() : channel, 1, 0);
    code[n++] = GIVE(REFUSE);
  }
  code[n++] = GIVE(SECCOMP_RET_ALLOW);
  return n;
}

static bool filter_set(int channel) {
  struct sock_filter code[8 + 5 * N_ALLOWED];
  unsigned short n = 0;
  code[n++] = LOAD(arch); /* of another architecture no number is known */
  code[n++] = (struct sock_filter)BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, OWN_ARCH, 1, 0);
  code[n++] = GIVE(REFUSE);
  code[n++] = LOAD(nr);
  for (size_t i = 0; i < N_ALLOWED; i++)
    n = (unsigned short)(n + put_rule(code + n, &allowed[i], (unsigned)channel));
  code[n++] = GIVE(REFUSE);
  struct sock_fprog program = {n, code};
  return prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program) == 0;
}

#else

static bool filter_set(int channel) {
  (void)channel;
  return false;
}

#endif

dw_status dw_seal(int channel, const dw_seal_limits *limits, dw_error *err) {
  bool set = limits_set(limits) && prctl(PR_SET_DUMPABLE, 0) == 0 &&
             prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0 && landlock_set() && filter_set(channel);
  if (set) return DW_OK;
  return dw_fail(err, DW_IO,
                 "Photos are decoded apart, behind the kernel's filter of system calls (seccomp), which this "
                 "system does not let Dropwise set: no photo can be read here.");
}
