/* The filter is written out here, for the library that writes such filters (libseccomp) would be loaded into
 * the very process whose contents are to be few, for a list of some thirty numbers. */
#include "base/seal_filter.h"

#include "base/landlock.h"
#include "base/sanitized.h"

#include <errno.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/syscall.h>
#include <unistd.h>

#if defined(__x86_64__)
#define OWN_ARCH AUDIT_ARCH_X86_64
#elif defined(__aarch64__)
#define OWN_ARCH AUDIT_ARCH_AARCH64
#endif

#ifdef OWN_ARCH

/* ---- what is allowed ----------------------------------------------------------------------------------- */

typedef enum argument {
  ANY,
  FIRST_IS_CHANNEL,    /* or the file for messages */
  FIRST_IS_SELF,       /* this process */
  NOT_EXECUTABLE,      /* memory that is not to be run */
  EXECUTABLE_FROM_FILE /* or run but not written, and out of a file */
} argument;
typedef struct rule {
  int call;
  argument if_argument;
} rule;

static const rule always[] = {
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
#ifdef DW__SANITIZER /* reports, and the runtime's own bookkeeping; not in a program as built for    \
                                use */
    {SYS_getpid, ANY},
    {SYS_gettid, ANY},
    {SYS_sched_yield, ANY},
    {SYS_sigaltstack, ANY},
    {SYS_rt_sigaction, ANY},
    {SYS_rt_sigprocmask, ANY},
#endif
};

static const rule for_decoding[] = {{SYS_mmap, NOT_EXECUTABLE}};

/* A plugin is foreign code anyhow; what abort() needs to end with its own signal, and time to pass. */
static const rule for_a_library[] = {
    {SYS_mmap, EXECUTABLE_FROM_FILE},
    {SYS_dup, ANY},
    {SYS_getpid, ANY},
    {SYS_gettid, ANY},
    {SYS_rt_sigprocmask, ANY},
    {SYS_clock_nanosleep, ANY},
};

/* Answered by a handler of SIGSYS (seal_library.c). */
static const int by_name[] = {SYS_openat, SYS_newfstatat};

/* ---- as instructions ----------------------------------------------------------------------------------- */

enum {
  RULE_MOST = 9,
  N_RULES = sizeof always / sizeof *always + sizeof for_a_library / sizeof *for_a_library
};

typedef struct program {
  struct sock_filter code[16 + RULE_MOST * N_RULES];
  unsigned short n;
  int channel, messages;
} program;

#define REFUSE (SECCOMP_RET_ERRNO | EPERM)

static void put(program *p, uint16_t code, uint8_t if_true, uint8_t if_false, uint32_t value) {
  p->code[p->n++] = (struct sock_filter){code, if_true, if_false, value};
}

static void load(program *p, size_t offset) {
  put(p, BPF_LD | BPF_W | BPF_ABS, 0, 0, (uint32_t)offset);
}

/* Skips so many instructions where the value loaded is another (has none of the bits). */
static void unless_equal(program *p, uint32_t value, uint8_t skip) {
  put(p, BPF_JMP | BPF_JEQ | BPF_K, 0, skip, value);
}

static void unless_bits(program *p, uint32_t bits, uint8_t skip) {
  put(p, BPF_JMP | BPF_JSET | BPF_K, 0, skip, bits);
}

static void give(program *p, uint32_t value) {
  put(p, BPF_RET | BPF_K, 0, 0, value);
}

/* An argument is known by its low half, as the kernel takes file numbers, process numbers and these bits. */
static void put_argument(program *p, argument which) {
  switch (which) {
  case ANY:
    break;
  case NOT_EXECUTABLE:
    load(p, offsetof(struct seccomp_data, args[2]));
    unless_bits(p, PROT_EXEC, 1);
    give(p, REFUSE);
    break;
  case EXECUTABLE_FROM_FILE:
    load(p, offsetof(struct seccomp_data, args[2]));
    unless_bits(p, PROT_EXEC, 5);
    unless_bits(p, PROT_WRITE, 1);
    give(p, REFUSE);
    load(p, offsetof(struct seccomp_data, args[3]));
    unless_bits(p, MAP_ANONYMOUS, 1);
    give(p, REFUSE);
    break;
  case FIRST_IS_SELF:
    load(p, offsetof(struct seccomp_data, args[0]));
    put(p, BPF_JMP | BPF_JEQ | BPF_K, 1, 0, (uint32_t)getpid());
    give(p, REFUSE);
    break;
  case FIRST_IS_CHANNEL:
    load(p, offsetof(struct seccomp_data, args[0]));
    put(p, BPF_JMP | BPF_JEQ | BPF_K, 2, 0, (uint32_t)p->channel);
    put(p, BPF_JMP | BPF_JEQ | BPF_K, 1, 0, (uint32_t)p->messages);
    give(p, REFUSE);
    break;
  }
}

static void put_rules(program *p, const rule *rules, size_t n) {
  for (size_t i = 0; i < n; i++) {
    const unsigned short at = p->n;
    unless_equal(p, (uint32_t)rules[i].call, 0);
    put_argument(p, rules[i].if_argument);
    give(p, SECCOMP_RET_ALLOW);
    p->code[at].jf = (uint8_t)(p->n - at - 1);
  }
}

static void write_program(dw__sealed_for what, program *p) {
  load(p, offsetof(struct seccomp_data, arch)); /* of another architecture no number is known */
  put(p, BPF_JMP | BPF_JEQ | BPF_K, 1, 0, OWN_ARCH);
  give(p, REFUSE);
  load(p, offsetof(struct seccomp_data, nr));
  for (size_t i = 0; what == DW__FOR_A_LIBRARY && i < sizeof by_name / sizeof *by_name; i++) {
    unless_equal(p, (uint32_t)by_name[i], 1);
    give(p, SECCOMP_RET_TRAP);
  }
  put_rules(p, always, sizeof always / sizeof *always);
  if (what == DW__FOR_DECODING)
    put_rules(p, for_decoding, sizeof for_decoding / sizeof *for_decoding);
  else
    put_rules(p, for_a_library, sizeof for_a_library / sizeof *for_a_library);
  give(p, REFUSE);
}

static bool filter_set(dw__sealed_for what, int channel, int messages) {
  program p = {.channel = channel, .messages = messages};
  write_program(what, &p);
  return prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &(struct sock_fprog){p.n, p.code}) == 0;
}

bool dw__filter_there(void) {
  return prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, NULL) != 0 && errno == EFAULT;
}

#else

bool dw__filter_there(void) {
  return false;
}

static bool filter_set(dw__sealed_for what, int channel, int messages) {
  (void)what, (void)channel, (void)messages;
  return false;
}

#endif

bool dw__seal_close(dw__sealed_for what, int channel, int messages) {
  return prctl(PR_SET_DUMPABLE, 0) == 0 && prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) == 0 &&
         dw__landlock_set() && filter_set(what, channel, messages);
}
