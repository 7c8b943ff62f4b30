#undef _FORTIFY_SOURCE /* its headers define open themselves */
#include "disk.h"

#include "dropwise/base.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#define TAKEN_OVER __attribute__((visibility("default")))

enum { SECTOR = 512, FILES_MAX = 4096, NAMES_MAX = 2048, NAME_ROOM = 128 };

/* One write, or with bytes NULL a cut to the length `at`. */
typedef struct change {
  size_t at, n;
  char *bytes;
} change;

typedef struct file {
  ino_t number;
  bool gone; /* its number belongs to another by now */
  char *safe;
  size_t n_safe;
  change *pending;
  size_t n_pending, room;
} file;

/* A name and the file that bears it; file -1: the name is taken away. */
typedef struct naming {
  char name[NAME_ROOM];
  int file;
} naming;

static struct {
  char folder[200];
  ino_t number; /* of the folder; 0: none is watched */
  file file[FILES_MAX];
  naming safe[NAMES_MAX], pending[NAMES_MAX];
  int n_files, n_safe, n_pending;
  long changes, at;
  void (*fails)(void *);
  void *context;
} disk;

static void give_up(const char *what) {
  fprintf(stderr, "the disk of the test: %s: %s\n", what, strerror(errno));
  abort();
}

/* ---- contents ------------------------------------------------------------------------------------------ */

static void content_cut(char **bytes, size_t *n, size_t to) {
  if (to > *n) {
    char *grown = realloc(*bytes, to);
    if (!grown) give_up("memory");
    memset(grown + *n, 0, to - *n);
    *bytes = grown;
  }
  *n = to;
}

static void content_write(char **bytes, size_t *n, size_t at, const char *from, size_t length) {
  if (at + length > *n) content_cut(bytes, n, at + length);
  if (length) memcpy(*bytes + at, from, length);
}

static void pending_free(file *f) {
  for (size_t i = 0; i < f->n_pending; i++) free(f->pending[i].bytes);
  f->n_pending = 0;
}

static void file_sync(file *f) {
  for (size_t i = 0; i < f->n_pending; i++) {
    const change *c = &f->pending[i];
    if (c->bytes)
      content_write(&f->safe, &f->n_safe, c->at, c->bytes, c->n);
    else
      content_cut(&f->safe, &f->n_safe, c->at);
  }
  pending_free(f);
}

static void file_change(file *f, size_t at, const void *bytes, size_t n) {
  if (f->n_pending == f->room) {
    f->room = f->room ? 2 * f->room : 64;
    f->pending = realloc(f->pending, f->room * sizeof *f->pending);
    if (!f->pending) give_up("memory");
  }
  change *c = &f->pending[f->n_pending++];
  *c = (change){at, n, bytes ? malloc(n + 1) : NULL};
  if (bytes && !c->bytes) give_up("memory");
  if (bytes) memcpy(c->bytes, bytes, n);
}

/* ---- files and names ----------------------------------------------------------------------------------- */

/* The file behind a descriptor; NULL: none of the folder's. */
static file *file_of(int fd) {
  struct stat st;
  if (!disk.number || fstat(fd, &st) || !S_ISREG(st.st_mode)) return NULL;
  for (int i = disk.n_files - 1; i >= 0; i--)
    if (disk.file[i].number == st.st_ino && !disk.file[i].gone) return &disk.file[i];
  return NULL;
}

static int file_new(ino_t number) {
  for (int i = 0; i < disk.n_files; i++) disk.file[i].gone |= disk.file[i].number == number;
  if (disk.n_files == FILES_MAX) give_up("too many files");
  disk.file[disk.n_files] = (file){.number = number};
  return disk.n_files++;
}

static int file_named(const char *path) {
  struct stat st;
  if (stat(path, &st)) return -1;
  for (int i = disk.n_files - 1; i >= 0; i--)
    if (disk.file[i].number == st.st_ino && !disk.file[i].gone) return i;
  return -1;
}

/* The name within the folder; NULL: elsewhere. */
static const char *own_name(const char *path) {
  size_t n = strlen(disk.folder);
  if (!disk.number || strncmp(path, disk.folder, n) != 0 || path[n] != '/' || strchr(path + n + 1, '/'))
    return NULL;
  return path + n + 1;
}

static void name_put(naming *list, int *n, const char *name, int which) {
  if (*n == NAMES_MAX) give_up("too many names");
  if (!dw_copy_text(list[*n].name, NAME_ROOM, name)) give_up(name);
  list[(*n)++].file = which;
}

/* As the list says once this naming has happened. */
static void name_apply(naming *list, int *n, const naming *what) {
  int kept = 0;
  for (int i = 0; i < *n; i++)
    if (strcmp(list[i].name, what->name) != 0) list[kept++] = list[i];
  *n = kept;
  if (what->file >= 0) name_put(list, n, what->name, what->file);
}

static void folder_sync(void) {
  for (int i = 0; i < disk.n_pending; i++) name_apply(disk.safe, &disk.n_safe, &disk.pending[i]);
  disk.n_pending = 0;
}

/* ---- watching ------------------------------------------------------------------------------------------ */

static int raw_open(const char *path, int flags) {
  return (int)syscall(SYS_openat, AT_FDCWD, path, flags | O_CLOEXEC, 0600);
}

static void raw_read(const char *path, char **bytes, size_t *n) {
  int fd = raw_open(path, O_RDONLY);
  struct stat st;
  if (fd < 0 || fstat(fd, &st)) give_up(path);
  content_cut(bytes, n, (size_t)st.st_size);
  if (*n && read(fd, *bytes, *n) != (ssize_t)*n) give_up(path);
  syscall(SYS_close, fd);
}

static void raw_write(const char *path, const char *bytes, size_t n) {
  int fd = raw_open(path, O_WRONLY | O_CREAT | O_TRUNC);
  if (fd < 0 || (n && syscall(SYS_write, fd, bytes, n) != (long)n)) give_up(path);
  syscall(SYS_close, fd);
}

void disk_watch(const char *folder) {
  struct stat st;
  DIR *dir = opendir(folder);
  if (!dir || stat(folder, &st)) give_up(folder);
  snprintf(disk.folder, sizeof disk.folder, "%s", folder);
  for (struct dirent *entry; (entry = readdir(dir));) {
    char path[400];
    if (entry->d_name[0] == '.') continue;
    snprintf(path, sizeof path, "%s/%s", folder, entry->d_name);
    int i = file_new(entry->d_ino);
    raw_read(path, &disk.file[i].safe, &disk.file[i].n_safe);
    name_put(disk.safe, &disk.n_safe, entry->d_name, i);
  }
  closedir(dir);
  disk.number = st.st_ino;
}

void disk_leave(void) {
  for (int i = 0; i < disk.n_files; i++) {
    pending_free(&disk.file[i]);
    free(disk.file[i].pending);
    free(disk.file[i].safe);
  }
  memset(&disk, 0, sizeof disk);
}

long disk_changes(void) {
  return disk.changes;
}

void disk_at(long when, void (*fails)(void *context), void *context) {
  disk.at = when;
  disk.fails = fails;
  disk.context = context;
}

/* Before a change. */
static void tick(void) {
  if (++disk.changes == disk.at) disk.fails(disk.context);
}

/* ---- losing power -------------------------------------------------------------------------------------- */

/* How much of what was not synced survives; half the losses are of the extreme kinds. */
static double survival_draw(dw_random *random) {
  double kind = dw_random_uniform(random);
  return kind < 0.25 ? 0 : kind < 0.5 ? 1 : dw_random_uniform(random);
}

static void survive(const change *c, dw_random *random, double share, char **bytes, size_t *n) {
  if (!c->bytes) {
    if (dw_random_uniform(random) < share) content_cut(bytes, n, c->at);
    return;
  }
  for (size_t at = c->at, end = c->at + c->n; at < end;) {
    size_t next = (at / SECTOR + 1) * SECTOR;
    if (next > end) next = end;
    if (dw_random_uniform(random) < share) content_write(bytes, n, at, c->bytes + (at - c->at), next - at);
    at = next;
  }
}

static void write_survivor(const file *f, dw_random *random, const char *path) {
  char *bytes = NULL;
  size_t n = 0;
  double share = survival_draw(random);
  content_write(&bytes, &n, 0, f->safe, f->n_safe);
  for (size_t i = 0; i < f->n_pending; i++) survive(&f->pending[i], random, share, &bytes, &n);
  raw_write(path, bytes, n);
  free(bytes);
}

static bool is_shared_memory(const char *name) {
  size_t n = strlen(name);
  return n > 4 && strcmp(name + n - 4, "-shm") == 0;
}

static void copy_shared_memory(const char *name, const char *to) {
  char from[400], *bytes = NULL;
  size_t n = 0;
  snprintf(from, sizeof from, "%s/%s", disk.folder, name);
  if (access(from, F_OK) == 0) {
    raw_read(from, &bytes, &n);
    raw_write(to, bytes, n);
  }
  free(bytes);
}

void disk_lose(dw_random *random, const char *to) {
  static naming names[NAMES_MAX];
  int n = disk.n_safe, reached = (int)(dw_random_uniform(random) * (disk.n_pending + 1));
  memcpy(names, disk.safe, sizeof names);
  for (int i = 0; i < reached; i++) name_apply(names, &n, &disk.pending[i]);
  for (int i = 0; i < n; i++) {
    char path[400];
    snprintf(path, sizeof path, "%.200s/%.127s", to, names[i].name);
    if (!is_shared_memory(names[i].name))
      write_survivor(&disk.file[names[i].file], random, path);
    else if (dw_random_uniform(random) < 0.5)
      copy_shared_memory(names[i].name, path);
  }
}

/* ---- the calls ----------------------------------------------------------------------------------------- */

static int open_any(const char *path, int flags, mode_t mode) {
  const char *name = own_name(path);
  bool makes = name && flags & O_CREAT && access(path, F_OK) != 0;
  if (makes) tick();
  int fd = (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);
  struct stat st;
  if (fd < 0 || !name || fstat(fd, &st)) return fd;
  if (makes) name_put(disk.pending, &disk.n_pending, name, file_new(st.st_ino));
  file *f = flags & O_TRUNC ? file_of(fd) : NULL;
  if (f && !makes) file_change(f, 0, NULL, 0);
  return fd;
}

TAKEN_OVER int open(const char *path, int flags, ...) {
  va_list more;
  va_start(more, flags);
  mode_t mode = flags & O_CREAT ? va_arg(more, mode_t) : 0;
  va_end(more);
  return open_any(path, flags, mode);
}

TAKEN_OVER int open64(const char *path, int flags, ...) {
  va_list more;
  va_start(more, flags);
  mode_t mode = flags & O_CREAT ? va_arg(more, mode_t) : 0;
  va_end(more);
  return open_any(path, flags, mode);
}

TAKEN_OVER ssize_t pwrite64(int fd, const void *bytes, size_t n, off64_t at) {
  file *f = file_of(fd);
  if (f) tick();
  ssize_t wrote = syscall(SYS_pwrite64, fd, bytes, n, at);
  if (f && wrote > 0) file_change(f, (size_t)at, bytes, (size_t)wrote);
  return wrote;
}

TAKEN_OVER ssize_t write(int fd, const void *bytes, size_t n) {
  file *f = file_of(fd);
  off_t at = f ? lseek(fd, 0, SEEK_CUR) : 0;
  if (f) tick();
  ssize_t wrote = syscall(SYS_write, fd, bytes, n);
  if (f && wrote > 0) file_change(f, (size_t)at, bytes, (size_t)wrote);
  return wrote;
}

TAKEN_OVER int ftruncate64(int fd, off64_t to) {
  file *f = file_of(fd);
  if (f) tick();
  int result = (int)syscall(SYS_ftruncate, fd, to);
  if (f && result == 0) file_change(f, (size_t)to, NULL, 0);
  return result;
}

static int sync_any(int fd, long call) {
  struct stat st;
  file *f = file_of(fd);
  bool folder = disk.number && fstat(fd, &st) == 0 && S_ISDIR(st.st_mode) && st.st_ino == disk.number;
  if (f || folder) tick();
  int result = (int)syscall(call, fd);
  if (f && result == 0) file_sync(f);
  if (folder && result == 0) folder_sync();
  return result;
}

TAKEN_OVER int fsync(int fd) {
  return sync_any(fd, SYS_fsync);
}

TAKEN_OVER int fdatasync(int fd) {
  return sync_any(fd, SYS_fdatasync);
}

TAKEN_OVER int unlink(const char *path) {
  const char *name = own_name(path);
  if (name) tick();
  int result = (int)syscall(SYS_unlinkat, AT_FDCWD, path, 0);
  if (name && result == 0) name_put(disk.pending, &disk.n_pending, name, -1);
  return result;
}

TAKEN_OVER int rename(const char *from, const char *to) {
  const char *old = own_name(from), *name = own_name(to);
  int which = old ? file_named(from) : -1;
  if (old) tick();
  int result = (int)syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
  if (result || !old || which < 0) return result;
  if (name) name_put(disk.pending, &disk.n_pending, name, which);
  name_put(disk.pending, &disk.n_pending, old, -1);
  return result;
}

TAKEN_OVER int link(const char *from, const char *to) {
  const char *name = own_name(to);
  int which = name ? file_named(from) : -1;
  if (name) tick();
  int result = (int)syscall(SYS_linkat, AT_FDCWD, from, AT_FDCWD, to, 0);
  if (result == 0 && which >= 0) name_put(disk.pending, &disk.n_pending, name, which);
  return result;
}
