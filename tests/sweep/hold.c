#include "hold.h"

#include "run.h"
#include "scratch.h"

#include <dirent.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { PATH_ROOM = 400 };

static void path_of(const sweep_hold *hold, const char *name, char path[PATH_ROOM]) {
  snprintf(path, PATH_ROOM, "%s/%s", hold->folder, name);
}

static sweep_held *held_find(sweep_hold *hold, const char *name) {
  for (size_t i = 0; i < hold->n; i++)
    if (strcmp(hold->files[i].name, name) == 0) return &hold->files[i];
  return NULL;
}

/* Whether the name in the folder still stands for this file. */
static bool held_is(const sweep_held *held, const char *path) {
  struct stat there, here;
  return stat(path, &there) == 0 && fstat(held->fd, &here) == 0 && there.st_ino == here.st_ino;
}

static void held_drop(sweep_hold *hold, sweep_held *held) {
  unlink(held->link);
  close(held->fd);
  free(held->bytes);
  *held = hold->files[--hold->n];
}

/* What is in the file now: n bytes, valid until the next call. */
static const char *content(const sweep_held *held, size_t *n) {
  static char *room;
  static size_t size;
  struct stat st;
  if (fstat(held->fd, &st)) sweep_give_up(held->name);
  *n = (size_t)st.st_size;
  if (*n > size && !(room = realloc(room, size = 2 * *n))) sweep_give_up(held->name);
  if (pread(held->fd, room, *n, 0) != (ssize_t)*n) sweep_give_up(held->name);
  return room;
}

static bool held_same(const sweep_held *held, const char *now, size_t n) {
  return n == held->n && memcmp(now, held->bytes, n) == 0;
}

/* ---- the moment ----------------------------------------------------------------------------------------- */

static sweep_held *held_new(sweep_hold *hold, const char *name, const char *path) {
  if (hold->n == SWEEP_HELD_MAX) sweep_give_up("too many files");
  sweep_held *held = &hold->files[hold->n++];
  *held = (sweep_held){0};
  snprintf(held->name, sizeof held->name, "%s", name);
  snprintf(held->link, sizeof held->link, "%s/%ld", hold->links, hold->named++);
  held->fd = open(path, O_RDWR | O_CLOEXEC);
  if (held->fd < 0 || link(path, held->link)) sweep_give_up(path);
  return held;
}

static void hold_one(sweep_hold *hold, const char *name) {
  char path[PATH_ROOM];
  size_t n;
  path_of(hold, name, path);
  sweep_held *held = held_find(hold, name);
  if (held && !held_is(held, path)) held_drop(hold, held), held = NULL;
  if (!held) held = held_new(hold, name, path);
  held->seen = 1;
  const char *now = content(held, &n);
  if (held->bytes && held_same(held, now, n)) return;
  free(held->bytes);
  held->bytes = malloc(n + 1);
  if (!held->bytes) sweep_give_up(name);
  memcpy(held->bytes, now, n);
  held->n = n;
}

static void each_name(sweep_hold *hold, void (*use)(sweep_hold *hold, const char *name)) {
  struct dirent *entry;
  DIR *dir = opendir(hold->folder);
  if (!dir) sweep_give_up(hold->folder);
  while ((entry = readdir(dir)))
    if (strcmp(entry->d_name, ".") != 0 && strcmp(entry->d_name, "..") != 0) use(hold, entry->d_name);
  closedir(dir);
}

void sweep_hold_take(sweep_hold *hold) {
  for (size_t i = 0; i < hold->n; i++) hold->files[i].seen = 0;
  each_name(hold, hold_one);
  for (size_t i = hold->n; i-- > 0;)
    if (!hold->files[i].seen) held_drop(hold, &hold->files[i]);
}

/* ---- back ----------------------------------------------------------------------------------------------- */

static void remove_other(sweep_hold *hold, const char *name) {
  char path[PATH_ROOM];
  path_of(hold, name, path);
  const sweep_held *held = held_find(hold, name);
  if (!held || !held_is(held, path)) scratch_remove(path);
}

static void put_one(const sweep_hold *hold, const sweep_held *held) {
  char path[PATH_ROOM];
  size_t n;
  path_of(hold, held->name, path);
  if (access(path, F_OK) != 0 && link(held->link, path)) sweep_give_up(path);
  const char *now = content(held, &n);
  if (held_same(held, now, n)) return;
  if (ftruncate(held->fd, (off_t)held->n) || pwrite(held->fd, held->bytes, held->n, 0) != (ssize_t)held->n)
    sweep_give_up(path);
}

void sweep_hold_put(sweep_hold *hold) {
  each_name(hold, remove_other);
  for (size_t i = 0; i < hold->n; i++) put_one(hold, &hold->files[i]);
}

void sweep_hold_free(sweep_hold *hold) {
  while (hold->n > 0) held_drop(hold, &hold->files[hold->n - 1]);
}
