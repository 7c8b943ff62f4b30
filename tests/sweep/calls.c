#include "calls.h"

#include "run.h"

#include <errno.h>
#include <fcntl.h>
#include <linux/seccomp.h>
#include <poll.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/pidfd.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <time.h>
#include <unistd.h>

static int take_listener(int socket) {
  int fd = -1;
  char byte, room[CMSG_SPACE(sizeof fd)];
  struct iovec data = {&byte, 1};
  struct msghdr message = {
      .msg_iov = &data, .msg_iovlen = 1, .msg_control = room, .msg_controllen = sizeof room};
  if (recvmsg(socket, &message, MSG_CMSG_CLOEXEC) != 1) return -1;
  struct cmsghdr *head = CMSG_FIRSTHDR(&message);
  if (head) memcpy(&fd, CMSG_DATA(head), sizeof fd);
  return fd;
}

/* ---- which calls ---------------------------------------------------------------------------------------- */

/* From 0, the program itself, in the order of their first calls. */
static int place_of(sweep_watch *w, pid_t pid) {
  for (int i = 0; i < w->n_processes; i++)
    if (w->processes[i] == pid) return i;
  if (w->n_processes == SWEEP_PROCESSES_MAX) return SWEEP_PROCESSES_MAX;
  w->processes[w->n_processes] = pid;
  return w->n_processes++;
}

/* Threads wake each other by such writes, which can't fail. */
static bool wakes_thread(const struct seccomp_notif *asked) {
  char path[64], name[32];
  if (asked->data.nr != SYS_write || asked->data.args[2] != sizeof(uint64_t)) return false;
  snprintf(path, sizeof path, "/proc/%u/fd/%d", asked->pid, (int)asked->data.args[0]);
  ssize_t n = readlink(path, name, sizeof name - 1);
  if (n < 0) return false;
  name[n] = '\0';
  return strstr(name, "[eventfd]");
}

/* What is said of a fault must come through, or nothing could be judged. */
static bool counts(sweep_watch *w, const struct seccomp_notif *asked) {
  enum { EVERY = 6 };
  const struct seccomp_data *call = &asked->data;
  int place = w->whose == SWEEP_ALL ? 0 : place_of(w, (pid_t)asked->pid);
  if (place > 0 && (w->whose == SWEEP_OWN || place % EVERY != 1)) return false;
  if ((call->nr == SYS_write || call->nr == SYS_writev) && call->args[0] == STDERR_FILENO) return false;
  return !wakes_thread(asked);
}

static bool fills_disk(const struct seccomp_data *call) {
  switch (call->nr) {
  case SYS_close:
  case SYS_unlinkat:
#ifdef SYS_unlink
  case SYS_unlink:
#endif
    return false;
  case SYS_openat:
    return call->args[2] & O_CREAT;
#ifdef SYS_open
  case SYS_open:
    return call->args[1] & O_CREAT;
#endif
  default:
    return true;
  }
}

static void note_call(sweep_watch *w, long at, const struct seccomp_data *call) {
  if (!w->seen || at >= SWEEP_CALLS_MAX) return;
  bool again = at > 1 && w->seen[at - 1].number == call->nr && w->previous_fd == (int)call->args[0];
  w->row = again ? w->row + 1 : 0;
  w->previous_fd = (int)call->args[0];
  w->seen[at] = (sweep_call){.number = call->nr, .fills = fills_disk(call), .row = w->row};
}

/* ---- reads that give less ------------------------------------------------------------------------------- */

/* Half of what there is to read behind the offset (-1: where the descriptor stands), or of what was asked for; 0: nothing
 * that is there already can be halved. */
static size_t half_of(int fd, off_t offset, size_t asked) {
  struct stat st;
  size_t there = 0;
  int waiting = 0;
  if (fstat(fd, &st) == 0 && S_ISREG(st.st_mode)) {
    off_t from = offset >= 0 ? offset : lseek(fd, 0, SEEK_CUR);
    if (from >= 0 && from < st.st_size) there = (size_t)(st.st_size - from);
  } else if (ioctl(fd, FIONREAD, &waiting) == 0 && waiting > 0) {
    there = (size_t)waiting;
  }
  return (there < asked ? there : asked) / 2;
}

/* A descriptor of the process, here; -1: none (a thread of it, or it has ended). */
static int borrow_fd(pid_t pid, int fd) {
  int pidfd = pidfd_open(pid, 0);
  if (pidfd < 0) return -1;
  int here = pidfd_getfd(pidfd, fd, 0);
  close(pidfd);
  return here;
}

/* Reads for the process; -1: it may do so itself. */
static ssize_t read_half(const struct seccomp_notif *asked) {
  const struct seccomp_data *call = &asked->data;
  enum { ROOM = 1 << 20 };
  static char bytes[ROOM];
  off_t offset = call->nr == SYS_pread64 ? (off_t)call->args[3] : -1;
  if (call->nr != SYS_read && call->nr != SYS_pread64) return -1;
  int fd = borrow_fd((pid_t)asked->pid, (int)call->args[0]);
  if (fd < 0) return -1;
  size_t n = half_of(fd, offset, call->args[2] < ROOM ? call->args[2] : ROOM);
  ssize_t got = -1;
  if (n > 0) got = offset >= 0 ? pread(fd, bytes, n, offset) : read(fd, bytes, n);
  close(fd);
  struct iovec from = {bytes, got > 0 ? (size_t)got : 0},
               to = {(void *)(uintptr_t)call->args[1], from.iov_len};
  if (got > 0 && process_vm_writev((pid_t)asked->pid, &from, 1, &to, 1, 0) != got)
    sweep_give_up("a short read");
  return got > 0 ? got : -1;
}

/* ---- answering ------------------------------------------------------------------------------------------ */

static void fail_call(sweep_watch *w, const struct seccomp_notif *asked, struct seccomp_notif_resp *answer) {
  ssize_t half = w->error == SWEEP_SHORT ? read_half(asked) : -1;
  w->call = asked->data.nr;
  if (w->error == SWEEP_SHORT && half < 0) return;
  answer->flags = 0;
  answer->error = w->error == SWEEP_SHORT ? 0 : -w->error;
  answer->val = w->error == SWEEP_SHORT ? half : 0;
}

static void answer_call(sweep_watch *w) {
  struct seccomp_notif asked = {0};
  if (ioctl(w->listener, SECCOMP_IOCTL_NOTIF_RECV, &asked)) return; /* its process was ended meanwhile */
  struct seccomp_notif_resp answer = {.id = asked.id, .flags = SECCOMP_USER_NOTIF_FLAG_CONTINUE};
  if (counts(w, &asked)) {
    long at = atomic_fetch_add(&w->count, 1) + 1;
    note_call(w, at, &asked.data);
    if (at == atomic_load(&w->at)) fail_call(w, &asked, &answer);
  }
  ioctl(w->listener, SECCOMP_IOCTL_NOTIF_SEND, &answer);
}

static void close_one(int *fd) {
  if (*fd >= 0) close(*fd);
  *fd = -1;
}

bool sweep_watch_calls(sweep_watch *w, int pidfd, int limit_s) {
  time_t end = time(NULL) + limit_s;
  bool ended = false;
  do {
    struct pollfd fds[] = {{w->listener, POLLIN, 0}, {w->socket, POLLIN, 0}, {pidfd, POLLIN, 0}};
    if (poll(fds, 3, 1000) < 0 && errno != EINTR) sweep_give_up("poll");
    if (fds[0].revents & POLLIN)
      answer_call(w);
    else if (fds[0].revents)
      close_one(&w->listener);
    if (fds[1].revents) {
      w->listener = take_listener(w->socket);
      close_one(&w->socket);
    }
    ended = fds[2].revents != 0;
  } while (!ended && (limit_s == 0 || time(NULL) <= end));
  close_one(&w->socket);
  close_one(&w->listener);
  return ended;
}
