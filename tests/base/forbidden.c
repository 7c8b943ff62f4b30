#include "forbidden.h"

#include <fcntl.h>
#include <linux/sched.h>
#include <netinet/in.h>
#include <signal.h>
#include <stdint.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/ptrace.h>
#include <sys/resource.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <sys/un.h>
#include <unistd.h>

static int stranger = -1, file = -1;
static pid_t parent;
static void *page;

void forbidden_prepare(void) {
  stranger = socket(AF_INET, SOCK_STREAM, 0);
  file = open("/tmp", O_TMPFILE | O_RDWR, 0600);
  parent = getppid();
  page = mmap(NULL, 4096, PROT_READ | PROT_WRITE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
}

/* Raw calls, so that no library decides in between. */
#define TRY(name, ...)                                                                                       \
  static long try_##name(void) {                                                                             \
    return syscall(__VA_ARGS__);                                                                             \
  }

static const struct sockaddr_in nobody = {.sin_family = AF_INET};
static const struct sockaddr_un abstract = {AF_UNIX, "\0dropwise"};
static char *const no_words[] = {NULL};
static const struct timespec now = {0, 0};

TRY(open_a_file, SYS_openat, AT_FDCWD, "/etc/passwd", O_RDONLY)
TRY(open_itself, SYS_openat, AT_FDCWD, "/proc/self/maps", O_RDONLY)
TRY(open_the_parent, SYS_openat, AT_FDCWD, "/proc/1/environ", O_RDONLY)
TRY(make_a_file, SYS_openat, AT_FDCWD, "/tmp/dropwise-probe", O_WRONLY | O_CREAT, 0600)
TRY(ask_for_a_file, SYS_newfstatat, AT_FDCWD, "/etc/passwd", page, 0)
TRY(read_a_link, SYS_readlinkat, AT_FDCWD, "/proc/self/exe", page, 4096)
TRY(list_a_folder, SYS_getdents64, file, page, 4096)
TRY(socket, SYS_socket, AF_INET, SOCK_STREAM, 0)
TRY(local_socket, SYS_socket, AF_UNIX, SOCK_STREAM, 0)
TRY(connect, SYS_connect, stranger, &nobody, sizeof nobody)
TRY(bind, SYS_bind, stranger, &nobody, sizeof nobody)
TRY(bind_abstract, SYS_bind, stranger, &abstract, sizeof abstract)
TRY(send, SYS_sendto, stranger, "x", 1, MSG_NOSIGNAL, NULL, 0)
TRY(kill_the_parent, SYS_kill, parent, 0)
TRY(kill_its_thread, SYS_tgkill, parent, parent, 0)
TRY(signal_by_handle, SYS_pidfd_open, parent, 0)
TRY(exec, SYS_execve, "/bin/true", no_words, no_words)
TRY(exec_a_handle, SYS_execveat, file, "", no_words, no_words, AT_EMPTY_PATH)
TRY(ptrace, SYS_ptrace, PTRACE_ATTACH, parent, NULL, NULL)
TRY(read_the_parent, SYS_process_vm_readv, parent, NULL, 0, NULL, 0, 0)
TRY(memory_file, SYS_memfd_create, "more", 0)
TRY(code_from_nowhere, SYS_mmap, NULL, 4096, PROT_READ | PROT_EXEC, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0)
TRY(make_code, SYS_mprotect, page, 4096, PROT_READ | PROT_EXEC)
TRY(make_code_by_key, SYS_pkey_mprotect, page, 4096, PROT_READ | PROT_EXEC, -1)
TRY(device, SYS_mknodat, AT_FDCWD, "/tmp/dropwise-probe", S_IFCHR | 0600, 0x103)
TRY(remove, SYS_unlinkat, AT_FDCWD, "/tmp/dropwise-probe", 0)
TRY(rename, SYS_renameat2, AT_FDCWD, "/tmp/dropwise-probe", AT_FDCWD, "/tmp/dropwise-probe2", 0)
TRY(mode, SYS_fchmodat, AT_FDCWD, "/tmp", 0777)
TRY(grow_a_file, SYS_ftruncate, file, 1)
TRY(write_elsewhere, SYS_write, file, "x", 1)
TRY(times, SYS_utimensat, file, NULL, &now, 0)
TRY(change_itself, SYS_prctl, PR_SET_DUMPABLE, 1, 0, 0, 0)
TRY(raise_a_limit, SYS_prlimit64, 0, RLIMIT_FSIZE, &(struct rlimit){4096, 4096}, NULL)
TRY(own_a_signal, SYS_fcntl, file, F_SETOWN, parent)
TRY(ring, SYS_io_uring_setup, 1, page)
TRY(bpf, SYS_bpf, 0, page, 0)
TRY(perf, SYS_perf_event_open, page, 0, -1, -1, 0)
TRY(keys, SYS_keyctl, 0, -3, 0, 0, 0)
TRY(faults, SYS_userfaultfd, 0)
TRY(mount, SYS_mount, "none", "/tmp", "tmpfs", 0, NULL)
TRY(unshare, SYS_unshare, CLONE_NEWUSER)
TRY(another_seal, SYS_seccomp, 0, 0, NULL)
TRY(live_longer, SYS_setitimer, 0, NULL, NULL)

/* A child that came to be must end at once. */
static long started(long pid) {
  if (pid == 0) _exit(0);
  return pid;
}

static long try_fork(void) {
  return started(syscall(SYS_clone, SIGCHLD, 0, 0, 0, 0));
}

static long try_thread(void) {
  return started(syscall(SYS_clone, CLONE_VM | CLONE_SIGHAND | CLONE_THREAD, 0, 0, 0, 0));
}

static long try_newer_fork(void) {
  struct clone_args args = {.exit_signal = SIGCHLD};
  return started(syscall(SYS_clone3, &args, sizeof args));
}

#define THING(name)                                                                                          \
  { #name, try_##name }
const forbidden forbidden_things[] = {
    THING(open_a_file),
    THING(open_itself),
    THING(open_the_parent),
    THING(make_a_file),
    THING(ask_for_a_file),
    THING(read_a_link),
    THING(list_a_folder),
    THING(socket),
    THING(local_socket),
    THING(connect),
    THING(bind),
    THING(bind_abstract),
    THING(send),
    THING(kill_the_parent),
    THING(kill_its_thread),
    THING(signal_by_handle),
    THING(exec),
    THING(exec_a_handle),
    THING(ptrace),
    THING(read_the_parent),
    THING(memory_file),
    THING(code_from_nowhere),
    THING(make_code),
    THING(make_code_by_key),
    THING(device),
    THING(remove),
    THING(rename),
    THING(mode),
    THING(grow_a_file),
    THING(write_elsewhere),
    THING(times),
    THING(change_itself),
    THING(raise_a_limit),
    THING(own_a_signal),
    THING(ring),
    THING(bpf),
    THING(perf),
    THING(keys),
    THING(faults),
    THING(mount),
    THING(unshare),
    THING(another_seal),
    THING(live_longer),
    THING(fork),
    THING(thread),
    THING(newer_fork),
};
const size_t forbidden_count = sizeof forbidden_things / sizeof *forbidden_things;
