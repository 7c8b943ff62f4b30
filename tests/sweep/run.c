#include "run.h"

#include <errno.h>
#include <fcntl.h>
#include <linux/seccomp.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <sys/pidfd.h>
#include <sys/socket.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { LIMIT_S = 60 };

void sweep_give_up(const char *what) {
  fprintf(stderr, "%s: %s\n", what, strerror(errno));
  exit(2);
}

static char control_path[64];

static void control_remove(void) {
  unlink(control_path);
}

sweep_control *sweep_control_get(void) {
  static sweep_control *control;
  if (control) return control;
  strcpy(control_path, "/tmp/dropwise-sweep-XXXXXX");
  int fd = mkstemp(control_path);
  if (fd < 0 || ftruncate(fd, sizeof *control)) sweep_give_up("the control page");
  atexit(control_remove);
  control = mmap(NULL, sizeof *control, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
  if (control == MAP_FAILED) sweep_give_up("the control page");
  close(fd);
  return control;
}

/* Of a swept program whose home is the folder; to be freed as one block. */
static char **environment_of(const char *folder) {
  enum { VARIABLES = 6, ROOM = 4200 };
  char **list = calloc(1, (VARIABLES + 1) * sizeof *list + VARIABLES * ROOM);
  if (!list) sweep_give_up("the environment");
  char *text = (char *)(list + VARIABLES + 1);
  for (int i = 0; i < VARIABLES; i++) list[i] = text + i * ROOM;
  sweep_control_get();
  snprintf(list[0], ROOM, "LD_PRELOAD=%s", DW_SWEEP_PRELOAD);
  snprintf(list[1], ROOM, "%s=%s", SWEEP_CONTROL, control_path);
  snprintf(list[2], ROOM, "HOME=%s", folder);
  snprintf(list[3], ROOM, "XDG_DATA_HOME=%s/data", folder);
  strcpy(list[4], "LC_ALL=C");
  strcpy(list[5], "OPENBLAS_NUM_THREADS=1");
  return list;
}

/* ---- system calls that fail --------------------------------------------------------------------------- */

typedef struct supervised {
  const sweep_fault *fault;
  pid_t pid;
  int socket, listener; /* -1 each: not there yet, or no more */
  sweep_run *run;
} supervised;

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

/* What is said of a fault must come through, or nothing could be judged. */
static bool counts(const supervised *s, const struct seccomp_notif *asked) {
  const struct seccomp_data *call = &asked->data;
  if (s->fault->alone && asked->pid != (unsigned)s->pid) return false;
  return !((call->nr == SYS_write || call->nr == SYS_writev) && call->args[0] == STDERR_FILENO);
}

static void answer_call(supervised *s) {
  struct seccomp_notif asked = {0};
  if (ioctl(s->listener, SECCOMP_IOCTL_NOTIF_RECV, &asked)) return; /* its process was ended meanwhile */
  struct seccomp_notif_resp answer = {.id = asked.id, .flags = SECCOMP_USER_NOTIF_FLAG_CONTINUE};
  if (counts(s, &asked) && ++s->run->count == s->fault->at) {
    answer.flags = 0;
    answer.error = -s->fault->error;
    s->run->call = asked.data.nr;
  }
  ioctl(s->listener, SECCOMP_IOCTL_NOTIF_SEND, &answer);
}

static void close_one(int *fd) {
  if (*fd >= 0) close(*fd);
  *fd = -1;
}

/* Answers until the process has ended, or for as long as it may take; says which. */
static bool supervise(supervised *s, int pidfd) {
  time_t end = time(NULL) + LIMIT_S;
  for (;;) {
    struct pollfd fds[] = {{s->listener, POLLIN, 0}, {s->socket, POLLIN, 0}, {pidfd, POLLIN, 0}};
    if (poll(fds, 3, 1000) < 0 && errno != EINTR) sweep_give_up("poll");
    if (fds[0].revents & POLLIN)
      answer_call(s);
    else if (fds[0].revents)
      close_one(&s->listener);
    if (fds[1].revents) {
      s->listener = take_listener(s->socket);
      close_one(&s->socket);
    }
    if (fds[2].revents) return true;
    if (time(NULL) > end) return false;
  }
}

/* ---- the process -------------------------------------------------------------------------------------- */

static int stream_fresh(int *fd, const char *name) {
  if (*fd < 0) *fd = memfd_create(name, MFD_CLOEXEC);
  if (*fd < 0 || ftruncate(*fd, 0) || lseek(*fd, 0, SEEK_SET)) sweep_give_up("a stream");
  return *fd;
}

static char *stream_take(int fd, size_t *n) {
  off_t size = lseek(fd, 0, SEEK_END);
  char *text = malloc((size_t)size + 1);
  if (!text || pread(fd, text, (size_t)size, 0) != size) sweep_give_up("a stream");
  text[size] = '\0';
  *n = (size_t)size;
  return text;
}

pid_t sweep_start(char *const *words, const char *folder, int out, int err, int listens) {
  posix_spawn_file_actions_t files;
  pid_t pid;
  char **environment = environment_of(folder);
  posix_spawn_file_actions_init(&files);
  posix_spawn_file_actions_addopen(&files, 0, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_adddup2(&files, out, 1);
  posix_spawn_file_actions_adddup2(&files, err, 2);
  if (listens >= 0) posix_spawn_file_actions_adddup2(&files, listens, SWEEP_SOCKET);
  posix_spawn_file_actions_addchdir_np(&files, folder);
  errno = posix_spawn(&pid, words[0], &files, NULL, words, environment);
  if (errno) sweep_give_up(words[0]);
  posix_spawn_file_actions_destroy(&files);
  free(environment);
  return pid;
}

static int code_of(pid_t pid, bool ended) {
  int status = 0;
  if (!ended) kill(pid, SIGKILL);
  while (waitpid(pid, &status, 0) < 0 && errno == EINTR) continue;
  if (!ended) return SWEEP_LATE;
  return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

void sweep_arm(const sweep_fault *fault) {
  sweep_control *control = sweep_control_get();
  snprintf(control->program, sizeof control->program, "%s", fault->program);
  control->with_children = !fault->alone;
  atomic_store(&control->count, 0);
  atomic_store(&control->at, fault->calls ? 0 : fault->at);
  atomic_store(&control->listens, 0);
}

void sweep_run_free(sweep_run *run) {
  free(run->out);
  free(run->err);
  *run = (sweep_run){.call = -1};
}

long sweep_next(long at, bool all) {
  enum { ONE_BY_ONE = 300, EVERY = 200 };
  return all || at < ONE_BY_ONE ? at + 1 : at + EVERY;
}

void sweep_run_one(char *const *words, const char *folder, const sweep_fault *fault, sweep_run *run) {
  static int out = -1, err = -1;
  int ends[2] = {-1, -1};
  sweep_run_free(run);
  sweep_arm(fault);
  if (fault->calls && socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends)) sweep_give_up("a socket");
  pid_t pid = sweep_start(words, folder, stream_fresh(&out, "out"), stream_fresh(&err, "err"), ends[1]);
  close_one(&ends[1]);
  supervised s = {fault, pid, ends[0], -1, run};
  int pidfd = pidfd_open(pid, 0);
  if (pidfd < 0) sweep_give_up("pidfd_open");
  run->code = code_of(pid, supervise(&s, pidfd));
  close(pidfd);
  close_one(&s.socket);
  close_one(&s.listener);
  if (!fault->calls) run->count = atomic_load(&sweep_control_get()->count);
  run->out = stream_take(out, &run->n_out);
  run->err = stream_take(err, &run->n_err);
}
