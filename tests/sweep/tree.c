#include "tree.h"

#include "hold.h"

#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

typedef struct branching {
  sweep_tree *tree;
  sweep_hold hold;
  int socket, out, err;
} branching;

bool sweep_tree_done(const sweep_tree *tree, long at) {
  return at < tree->n_done && tree->done[at];
}

void sweep_tree_free(sweep_tree *tree) {
  free(tree->done);
  tree->done = NULL;
  tree->n_done = 0;
}

static void note_done(sweep_tree *tree, long at) {
  if (at >= tree->n_done) {
    long room = 2 * at + 1000;
    tree->done = realloc(tree->done, (size_t)room * sizeof *tree->done);
    if (!tree->done) sweep_give_up("the points");
    memset(tree->done + tree->n_done, 0, (size_t)(room - tree->n_done) * sizeof *tree->done);
    tree->n_done = room;
  }
  tree->done[at] = true;
}

/* false: the other side is gone, or says nothing for so long (0: without end). */
static bool hear(const branching *b, int limit_s, long *word) {
  struct pollfd fd = {b->socket, POLLIN, 0};
  if (poll(&fd, 1, limit_s ? limit_s * 1000 : -1) != 1) return false;
  return recv(b->socket, word, sizeof *word, 0) == sizeof *word;
}

static void tell(const branching *b, long word) {
  if (send(b->socket, &word, sizeof word, MSG_NOSIGNAL) != sizeof word) sweep_give_up("a branch");
}

/* Waits for the copy; its exit code, or as sweep_run has it. */
static int end_of_copy(const branching *b) {
  long pid = 0, status = 0;
  bool late = false;
  if (!hear(b, SWEEP_LIMIT_S, &pid)) sweep_give_up("no copy");
  if (!hear(b, SWEEP_LIMIT_S, &status)) {
    late = true;
    kill((pid_t)pid, SIGKILL);
    if (!hear(b, SWEEP_LIMIT_S, &status)) sweep_give_up("a copy that does not end");
  }
  if (late) return SWEEP_LATE;
  return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
}

static off_t size_of(int fd) {
  struct stat st;
  if (fstat(fd, &st)) sweep_give_up("a stream");
  return st.st_size;
}

static void branch(branching *b, long at) {
  static sweep_run run;
  off_t out = size_of(b->out), err = size_of(b->err);
  sweep_hold_take(&b->hold);
  tell(b, true);
  sweep_run_free(&run);
  run.code = end_of_copy(b);
  run.count = at;
  sweep_streams_take(b->out, b->err, &run);
  note_done(b->tree, at);
  b->tree->judge(b->tree->data, &run, at);
  sweep_hold_put(&b->hold);
  if (ftruncate(b->out, out) || ftruncate(b->err, err)) sweep_give_up("a stream");
  tell(b, true);
}

/* Answers the program until it has ended. */
static void answer(branching *b) {
  long at;
  while (hear(b, 0, &at)) {
    long wanted = sweep_wanted(at, b->tree->all);
    atomic_store(&sweep_control_get()->at, wanted > at ? wanted : sweep_next(at, b->tree->all));
    if (wanted > at)
      tell(b, false);
    else
      branch(b, at);
  }
}

void sweep_tree_run(sweep_tree *tree, char *const *words, const sweep_fault *fault, sweep_run *trunk) {
  branching b = {.tree = tree};
  int ends[2], status = 0;
  sweep_fault first = *fault;
  first.at = 1;
  snprintf(b.hold.folder, sizeof b.hold.folder, "%s", tree->place->work);
  snprintf(b.hold.links, sizeof b.hold.links, "%s", tree->place->held);
  sweep_run_free(trunk);
  sweep_arm(&first);
  if (socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends)) sweep_give_up("a socket");
  sweep_streams_fresh(&b.out, &b.err);
  b.socket = ends[0];
  pid_t pid = sweep_start(words, tree->place->work, b.out, b.err, ends[1], SWEEP_BRANCHES);
  close(ends[1]);
  answer(&b);
  close(ends[0]);
  while (waitpid(pid, &status, 0) < 0) continue;
  trunk->code = WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  trunk->count = atomic_load(&sweep_control_get()->count);
  sweep_streams_take(b.out, b.err, trunk);
  sweep_hold_free(&b.hold);
}
