#include "photo/decoder.h"

#include "base/sanitized.h"
#include "dropwise/child.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <math.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/pidfd.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

extern char **environ;

/* ---- starting -------------------------------------------------------------------------------------------
 */

static dw_status program_find(const dw_photo *photo, const char *format, char out[PATH_MAX], dw_error *err) {
  bool heic = strcmp(format, "HEIC") == 0;
  if (dw_beside_program(heic ? "dropwise-decode-heic" : "dropwise-decode", out, PATH_MAX)) return DW_OK;
  if (heic)
    return dw_fail(err, DW_UNSUPPORTED,
                   "%s is a HEIC photo. HEIC photos need Dropwise built with libheif, and its program "
                   "dropwise-decode-heic beside this one: install it, or save the photo as JPEG.",
                   photo->path);
  return dw_fail(err, DW_IO,
                 "The program that decodes photos, dropwise-decode, is not beside this one: install both.");
}

/* The photo and the channel take fixed numbers, the standard streams go nowhere, all else is closed. Each is
 * first copied out of the way of the numbers that are given away. */
static int plan_files(posix_spawn_file_actions_t *plan, int photo, int channel) {
  int fault = posix_spawn_file_actions_addopen(plan, 0, "/dev/null", O_RDWR, 0);
  if (!fault) fault = posix_spawn_file_actions_adddup2(plan, 0, 1);
#ifndef DW__SANITIZER
  if (!fault) fault = posix_spawn_file_actions_adddup2(plan, 0, 2);
#endif
  if (!fault) fault = posix_spawn_file_actions_adddup2(plan, photo, DW__FD_PHOTO);
  if (!fault) fault = posix_spawn_file_actions_adddup2(plan, channel, DW__FD_CHANNEL);
  if (!fault) fault = posix_spawn_file_actions_addclosefrom_np(plan, DW__FD_CHANNEL + 1);
  return fault;
}

/* Signals as a program expects them at its start. */
static int plan_signals(posix_spawnattr_t *how) {
  sigset_t none, all;
  sigemptyset(&none);
  sigfillset(&all);
  int fault = posix_spawnattr_setsigmask(how, &none);
  if (!fault) fault = posix_spawnattr_setsigdefault(how, &all);
  if (!fault)
    fault =
        posix_spawnattr_setflags(how, POSIX_SPAWN_SETSIGMASK | POSIX_SPAWN_SETSIGDEF | POSIX_SPAWN_SETPGROUP);
  return fault;
}

static int spawn(const char *program, int photo, int channel, pid_t *out) {
  posix_spawn_file_actions_t files;
  posix_spawnattr_t how;
  if (posix_spawn_file_actions_init(&files)) return ENOMEM;
  if (posix_spawnattr_init(&how)) {
    posix_spawn_file_actions_destroy(&files);
    return ENOMEM;
  }
  int fault = plan_files(&files, photo, channel);
  if (!fault) fault = plan_signals(&how);
  char *const words[] = {(char *)(uintptr_t)program, NULL};
  if (!fault) fault = posix_spawn(out, program, &files, &how, words, environ);
  posix_spawnattr_destroy(&how);
  posix_spawn_file_actions_destroy(&files);
  return fault;
}

/* A copy that no later dup2 onto a fixed number can hit. */
static int high_copy(int fd) {
  return fcntl(fd, F_DUPFD_CLOEXEC, DW__FD_CHANNEL + 1);
}

static dw_status start(dw_photo *photo, const char *program, int fd, dw_error *err) {
  int ends[2] = {-1, -1}, file = high_copy(fd), theirs = -1;
  pid_t pid = 0;
  int fault = file < 0 || socketpair(AF_UNIX, SOCK_SEQPACKET | SOCK_CLOEXEC, 0, ends) ? errno : 0;
  if (!fault && (theirs = high_copy(ends[1])) < 0) fault = errno;
  if (!fault) fault = spawn(program, file, theirs, &pid);
  if (file >= 0) close(file);
  if (theirs >= 0) close(theirs);
  if (ends[1] >= 0) close(ends[1]);
  if (!fault) {
    photo->decoder = (dw__decoder){pid, ends[0]};
    return DW_OK;
  }
  if (ends[0] >= 0) close(ends[0]);
  return dw_fail(err, fault == ENOMEM ? DW_NO_MEMORY : DW_IO,
                 "The program that decodes photos can't be started: %s: %s.", program, strerror(fault));
}

/* ---- asking ---------------------------------------------------------------------------------------------
 */

static double now_s(void) {
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

void dw__decoder_stop(dw__decoder *decoder) {
  if (decoder->pid == 0) return;
  kill(decoder->pid, SIGKILL);
  close(decoder->channel);
  while (waitpid(decoder->pid, NULL, 0) < 0 && errno == EINTR) continue;
  decoder->pid = 0;
}

/* How a decoder ended that said no more: it may have closed the channel and still be there. */
static dw_job end_of(const dw__decoder *decoder) {
  enum { DYING_MS = 2000 };
  dw_job end = {.end = DW_END_SILENT};
  siginfo_t about = {0};
  struct pollfd dead = {pidfd_open(decoder->pid, 0), POLLIN, 0};
  poll(&dead, 1, DYING_MS);
  if (dead.fd >= 0) close(dead.fd);
  if (waitid(P_PID, (id_t)decoder->pid, &about, WEXITED | WNOHANG | WNOWAIT) == 0 &&
      about.si_pid == decoder->pid) {
    end.detail = about.si_status;
    if (about.si_code != CLD_EXITED) end.end = DW_END_CRASHED;
  }
  return end;
}

static dw_status gone(dw_photo *photo, dw_job end, dw_error *err) {
  char how[120];
  dw_job_words(&end, how, sizeof how);
  dw__decoder_stop(&photo->decoder);
  if (end.end == DW_END_SILENT) /* no fault of the photo's: one ends in words, a crash, or out of time */
    return dw_fail(err, DW_IO,
                   "The program that decodes photos %s, with %s at hand: try again, or install it anew.", how,
                   photo->path);
  return dw_fail(err, DW_CORRUPT, "Decoding %s %s: save it anew as a plain JPEG or PNG.", photo->path, how);
}

/* Waits until the channel can be read; false when the time is up. */
static bool await(int channel, double limit_s) {
  double end_s = now_s() + limit_s;
  struct pollfd channel_poll = {channel, POLLIN, 0};
  for (;;) {
    double left_s = end_s - now_s();
    int told = poll(&channel_poll, 1, left_s > 0 ? (int)ceil(fmin(left_s, 3600) * 1000) : 0);
    if (told > 0 || (told < 0 && errno != EINTR && errno != EAGAIN)) return true;
    if (left_s <= 0) return false;
  }
}

static dw_status hear(dw_photo *photo, dw__reply *reply, dw_error *err) {
  const dw_photo_info *before = photo->info.width ? &photo->info : NULL;
  int none;
  if (!await(photo->decoder.channel, photo->limits.max_s))
    return gone(photo, (dw_job){.end = DW_END_LATE, .limit_s = photo->limits.max_s}, err);
  bool whole = dw__receive(photo->decoder.channel, reply, sizeof *reply, &none);
  if (none >= 0) close(none);
  if (!whole) return gone(photo, end_of(&photo->decoder), err);
  return dw__reply_take(reply, before, &photo->limits, photo->path, &photo->info, err);
}

dw_status dw__decoder_ask(dw_photo *photo, dw__ask *ask, int memory, dw_error *err) {
  if (photo->decoder.pid == 0)
    return dw_fail(err, DW_CORRUPT, "The decoding of %s has ended: open the photo again.", photo->path);
  dw__reply *reply = malloc(sizeof *reply);
  if (!reply) return dw_fail_memory(err, "decoding the photo");
  dw__build(ask->build);
  dw_status status = dw__send(photo->decoder.channel, ask, sizeof *ask, memory)
                         ? hear(photo, reply, err)
                         : gone(photo, end_of(&photo->decoder), err);
  free(reply);
  return status;
}

static dw_status ask_open(dw_photo *photo, const char *format, dw_error *err) {
  dw__ask *ask = calloc(1, sizeof *ask);
  if (!ask) return dw_fail_memory(err, "decoding the photo");
  ask->kind = DW__ASK_OPEN;
  ask->limits = photo->limits;
  dw_copy_text(ask->format, sizeof ask->format, format);
  dw_copy_text(ask->name, sizeof ask->name, photo->path);
  dw_status status = dw__decoder_ask(photo, ask, -1, err);
  if (status == DW_OK && strcmp(photo->info.format, format) != 0)
    status = dw_fail(err, DW_CORRUPT, "%s was changed while it was being read: read it again.", photo->path);
  free(ask);
  return status;
}

dw_status dw__decoder_open(dw_photo *photo, const char *format, int fd, dw_error *err) {
  char program[PATH_MAX];
  dw_status status = program_find(photo, format, program, err);
  if (status == DW_OK) status = start(photo, program, fd, err);
  return status == DW_OK ? ask_open(photo, format, err) : status;
}

/* ---- memory ---------------------------------------------------------------------------------------------
 */

dw_status dw__memory_new(size_t size, int *fd, dw_error *err) {
  *fd = memfd_create("photo", MFD_CLOEXEC | MFD_ALLOW_SEALING);
  if (*fd >= 0 && ftruncate(*fd, (off_t)size) == 0 &&
      fcntl(*fd, F_ADD_SEALS, F_SEAL_SHRINK | F_SEAL_GROW) == 0)
    return DW_OK;
  if (*fd >= 0) close(*fd);
  *fd = -1;
  return dw_fail_memory(err, "the photo's pixels");
}

/* Populated while it can't be written yet: else every page would be copied at once. */
static void *map_own(int fd, size_t size) {
  void *memory = mmap(NULL, size, PROT_READ, MAP_PRIVATE | MAP_POPULATE, fd, 0);
  if (memory == MAP_FAILED) return NULL;
  if (mprotect(memory, size, PROT_READ | PROT_WRITE) == 0) return memory;
  munmap(memory, size);
  return NULL;
}

/* The kernel refuses to seal what anyone still has mapped for writing. */
dw_status dw__memory_take(const dw_photo *photo, int fd, size_t size, dw_arena *arena, void **out,
                          dw_error *err) {
  if (fcntl(fd, F_ADD_SEALS, F_SEAL_WRITE))
    return dw_fail(err, DW_CORRUPT, "Decoding %s did not end: save it anew as a plain JPEG or PNG.",
                   photo->path);
  void *memory = map_own(fd, size);
  if (!memory) return dw_fail_memory(err, "the photo's pixels");
  if (dw_arena_keep_mapped(arena, memory, size)) {
    *out = memory;
    return DW_OK;
  }
  munmap(memory, size);
  return dw_fail_memory(err, "the photo's pixels");
}
