#include "run.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/pidfd.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <unistd.h>

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

/* ---- the process -------------------------------------------------------------------------------------- */

static void stream_fresh(int *fd, const char *name) {
  if (*fd < 0) *fd = memfd_create(name, MFD_CLOEXEC);
  if (*fd < 0 || ftruncate(*fd, 0) || lseek(*fd, 0, SEEK_SET)) sweep_give_up("a stream");
}

void sweep_streams_fresh(int *out, int *err) {
  static int fds[2] = {-1, -1};
  stream_fresh(&fds[0], "out");
  stream_fresh(&fds[1], "err");
  *out = fds[0], *err = fds[1];
}

static char *stream_take(int fd, size_t *n) {
  off_t size = lseek(fd, 0, SEEK_END);
  char *text = malloc((size_t)size + 1);
  if (!text || pread(fd, text, (size_t)size, 0) != size) sweep_give_up("a stream");
  text[size] = '\0';
  *n = (size_t)size;
  return text;
}

void sweep_streams_take(int out, int err, sweep_run *run) {
  run->out = stream_take(out, &run->n_out);
  run->err = stream_take(err, &run->n_err);
}

pid_t sweep_start(char *const *words, const char *folder, int out, int err, int socket, int as) {
  posix_spawn_file_actions_t files;
  pid_t pid;
  char **environment = environment_of(folder);
  posix_spawn_file_actions_init(&files);
  posix_spawn_file_actions_addopen(&files, 0, "/dev/null", O_RDONLY, 0);
  posix_spawn_file_actions_adddup2(&files, out, 1);
  posix_spawn_file_actions_adddup2(&files, err, 2);
  if (socket >= 0) posix_spawn_file_actions_adddup2(&files, socket, as);
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

sweep_kind sweep_kind_of(const char *word) {
  return strcmp(word, "reads") == 0   ? SWEEP_READS
         : strcmp(word, "calls") == 0 ? SWEEP_CHANGES
                                      : SWEEP_ALLOCATIONS;
}

void sweep_arm(const sweep_fault *fault) {
  sweep_control *control = sweep_control_get();
  snprintf(control->program, sizeof control->program, "%s", fault->program);
  control->with_children = fault->whose != SWEEP_OWN;
  control->reads = fault->kind == SWEEP_READS;
  atomic_store(&control->count, 0);
  atomic_store(&control->at, fault->kind == SWEEP_ALLOCATIONS ? fault->at : 0);
  atomic_store(&control->listens, 0);
}

void sweep_run_free(sweep_run *run) {
  free(run->out);
  free(run->err);
  *run = (sweep_run){.call = -1};
}

enum { ONE_BY_ONE = 300, EVERY = 200 };

long sweep_next(long at, bool all) {
  return all || at < ONE_BY_ONE ? at + 1 : at + EVERY;
}

long sweep_wanted(long at, bool all) {
  long over = all || at <= ONE_BY_ONE ? 0 : (at - ONE_BY_ONE) % EVERY;
  return over ? at + EVERY - over : at;
}

void sweep_run_one(char *const *words, const char *folder, const sweep_fault *fault, sweep_run *run) {
  int out, err, ends[2] = {-1, -1};
  sweep_run_free(run);
  sweep_arm(fault);
  if (fault->kind != SWEEP_ALLOCATIONS && socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, ends))
    sweep_give_up("a socket");
  sweep_streams_fresh(&out, &err);
  pid_t pid = sweep_start(words, folder, out, err, ends[1], SWEEP_SOCKET);
  if (ends[1] >= 0) close(ends[1]);
  sweep_watch watch = {fault->whose, ends[0], -1, fault->at, fault->error, .seen = fault->seen, .call = -1};
  int pidfd = pidfd_open(pid, 0);
  if (pidfd < 0) sweep_give_up("pidfd_open");
  run->code = code_of(pid, sweep_watch_calls(&watch, pidfd, SWEEP_LIMIT_S));
  close(pidfd);
  run->call = watch.call;
  run->count = atomic_load(fault->kind == SWEEP_ALLOCATIONS ? &sweep_control_get()->count : &watch.count);
  sweep_streams_take(out, err, run);
}
