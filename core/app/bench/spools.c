/* Decoding a photo in a child process, which fills a file that is mapped in both. */
#include "app/bench/spools.h"

#include "dropwise/child.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <unistd.h>

#define DECODE_LIMIT_S 30.0
enum { DECODE_BYTES_MAX = 400 << 20, SPOOLS_MAX = 12 };
#define SPOOLS_BYTES_MAX ((int64_t)1 << 30)

/* ---- in the child -----------------------------------------------------------------------------------------
 */

typedef struct task {
  const char *path;
  void *memory; /* NULL: only look at the header */
  size_t bytes;
} task;

typedef struct answer {
  dw_status status;
  char text[sizeof((dw_error *)0)->text];
  dw_photo_info info;
} answer;

static dw_status decode(const task *t, dw_photo_info *info, dw_error *err) {
  dw_photo_limits limits = {DW__PHOTO_MEGAPIXELS_MAX, DECODE_BYTES_MAX};
  dw_photo *photo = NULL;
  dw_status status = dw_photo_open(t->path, &limits, &photo, err);
  if (status == DW_OK && t->memory && dw_spool_bytes(dw_photo_info_get(photo)) != t->bytes)
    status = dw_fail(err, DW_CORRUPT, "%s was changed while it was being read.", t->path);
  if (status == DW_OK && t->memory) status = dw_spool_fill(photo, t->memory, err);
  if (status == DW_OK) *info = *dw_photo_info_get(photo);
  dw_photo_close(photo);
  return status;
}

static void run(void *arg, void *out) {
  answer *a = out;
  dw_error err = {0};
  dw_child_seal();
  a->status = decode(arg, &a->info, &err);
  memcpy(a->text, err.text, sizeof a->text);
}

/* ---- in the server ----------------------------------------------------------------------------------------
 */

/* The person knows the photo, not the name it has here: every mention of the path becomes "the photo". */
static void name_plainly(const char *text, const char *path, dw_text *out) {
  size_t length = strlen(path);
  const char *at = text, *found;
  while ((found = strstr(at, path))) {
    dw_text_put(out, at, (size_t)(found - at));
    dw_text_add(out, found == text ? "The photo" : "the photo");
    at = found + length;
  }
  dw_text_add(out, "%s", at);
}

static dw_status child_failed(const task *t, answer *a, dw_error *err) {
  if ((unsigned)a->status >= DW_STATUS_COUNT) a->status = DW_CORRUPT;
  a->text[sizeof a->text - 1] = '\0';
  dw_text plain = {0};
  name_plainly(a->text, t->path, &plain);
  dw_status status = dw_fail(err, a->status, "%s", plain.data ? plain.data : "The photo can't be read.");
  dw_text_free(&plain);
  return status;
}

static dw_status run_child(task *t, answer *a, dw_error *err) {
  memset(a, 0, sizeof *a);
  dw_job job = {run, t, a, sizeof *a, DECODE_LIMIT_S, 0, 0};
  dw_jobs_run(&job, 1, 1);
  if (job.end == DW_END_ANSWERED) return a->status == DW_OK ? DW_OK : child_failed(t, a, err);
  char how[120];
  dw_job_words(&job, how, sizeof how);
  if (job.end == DW_END_NOT_STARTED) return dw_fail(err, DW_LOCKED, "Decoding the photo %s.", how);
  return dw_fail(err, DW_CORRUPT, "Decoding the photo %s: save it anew as a plain JPEG or PNG.", how);
}

static void seal_text(char *text, size_t room) {
  text[room - 1] = '\0';
}

/* The child's word on the photo's size decides how much is mapped, so it is checked again. */
static bool info_sound(dw_photo_info *info) {
  double megapixels = (double)info->stored_width * info->stored_height / 1e6;
  seal_text(info->format, sizeof info->format);
  return info->stored_width > 0 && info->stored_height > 0 && megapixels <= DW__PHOTO_MEGAPIXELS_MAX &&
         (strcmp(info->format, "JPEG") == 0 || strcmp(info->format, "PNG") == 0);
}

/* ---- room -------------------------------------------------------------------------------------------------
 */

typedef struct spool_seen {
  char name[256];
  int64_t bytes;
  struct timespec used;
} spool_seen;

static bool is_spool(const char *name) {
  const char *dot = strrchr(name, '.');
  return (dot && strcmp(dot, ".spool") == 0) || strncmp(name, "spool-", 6) == 0;
}

/* The spool not used for longest, and what all take. False: there is none. */
static bool oldest(const dw__photos *photos, spool_seen *out, int64_t *all, size_t *n) {
  DIR *folder = opendir(photos->folder);
  bool any = false;
  *all = 0;
  *n = 0;
  for (struct dirent *e; folder && (e = readdir(folder));) {
    struct stat about;
    if (!is_spool(e->d_name) || fstatat(photos->folder_fd, e->d_name, &about, AT_SYMLINK_NOFOLLOW)) continue;
    *all += about.st_size;
    ++*n;
    if (any && (about.st_mtim.tv_sec > out->used.tv_sec ||
                (about.st_mtim.tv_sec == out->used.tv_sec && about.st_mtim.tv_nsec > out->used.tv_nsec)))
      continue;
    any = true;
    dw_copy_text(out->name, sizeof out->name, e->d_name);
    out->used = about.st_mtim;
  }
  if (folder) closedir(folder);
  return any;
}

static void make_room(dw__photos *photos, int64_t bytes) {
  spool_seen old;
  int64_t all;
  size_t n;
  while (oldest(photos, &old, &all, &n) && (all + bytes > SPOOLS_BYTES_MAX || n >= SPOOLS_MAX))
    if (unlinkat(photos->folder_fd, old.name, 0)) return;
}

void dw__spools_clear(dw__photos *photos) {
  spool_seen old;
  int64_t all;
  size_t n;
  while (oldest(photos, &old, &all, &n))
    if (unlinkat(photos->folder_fd, old.name, 0)) return;
}

/* ---- making -----------------------------------------------------------------------------------------------
 */

/* All of the file's room is taken before it is mapped: a full disk must not become a bus error. */
static dw_status map_file(int fd, size_t bytes, void **out, dw_error *err) {
  int fault = posix_fallocate(fd, 0, (off_t)bytes);
  if (fault)
    return dw_fail(err, DW_IO, "There is no room to decode the photo (%zu MiB): %s.", bytes >> 20,
                   strerror(fault));
  void *memory = mmap(NULL, bytes, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
  if (memory == MAP_FAILED) return dw_fail_memory(err, "decoding the photo");
  *out = memory;
  return DW_OK;
}

static dw_status fill_file(int fd, task *t, answer *a, dw_error *err) {
  dw_status status = map_file(fd, t->bytes, &t->memory, err);
  if (status != DW_OK) return status;
  status = run_child(t, a, err);
  munmap(t->memory, t->bytes);
  return status;
}

dw_status dw__spool_make(dw__photos *photos, const char *path, const char *sha256, dw_photo_info *info,
                         dw_error *err) {
  task t = {.path = path};
  answer a;
  dw_status status = run_child(&t, &a, err);
  if (status == DW_OK && !info_sound(&a.info))
    status = dw_fail(err, DW_CORRUPT, "The photo can't be read: save it anew as a plain JPEG or PNG.");
  if (status != DW_OK) return status;
  *info = a.info;
  t.bytes = dw_spool_bytes(info);
  make_room(photos, (int64_t)t.bytes);
  char rough[4000], done[4000];
  snprintf(rough, sizeof rough, "%s/spool-XXXXXX", photos->folder);
  snprintf(done, sizeof done, "%s/%s.spool", photos->folder, sha256);
  int fd = mkostemp(rough, O_CLOEXEC);
  if (fd < 0) return dw_fail(err, DW_IO, "%s can't be written: %s.", photos->folder, strerror(errno));
  status = fill_file(fd, &t, &a, err);
  close(fd);
  if (status == DW_OK && rename(rough, done))
    status = dw_fail(err, DW_IO, "%s can't be written: %s.", photos->folder, strerror(errno));
  if (status != DW_OK) unlink(rough);
  return status;
}
