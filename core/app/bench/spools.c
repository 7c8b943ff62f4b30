/* Having a photo decoded into a file, which its decoder fills. */
#include "app/bench/spools.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#define DECODE_LIMIT_S 30.0
enum { DECODE_BYTES_MAX = 400 << 20, SPOOLS_MAX = 12 };
#define SPOOLS_BYTES_MAX ((int64_t)1 << 30)

/* ---- words ------------------------------------------------------------------------------------------------
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

static dw_status in_plain_words(const char *path, dw_status status, dw_error *err) {
  dw_text plain = {0};
  if (status == DW_OK || !err) return status;
  name_plainly(err->text, path, &plain);
  dw_fail(err, status, "%s", plain.data ? plain.data : "The photo can't be read.");
  dw_text_free(&plain);
  return status;
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
static dw_status fill_file(int fd, dw_photo *photo, dw_error *err) {
  size_t bytes = dw_spool_bytes(dw_photo_info_get(photo));
  int fault = posix_fallocate(fd, 0, (off_t)bytes);
  if (fault)
    return dw_fail(err, DW_IO, "There is no room to decode the photo (%zu MiB): %s.", bytes >> 20,
                   strerror(fault));
  return dw_spool_fill(photo, fd, err);
}

static dw_status make_rough(dw__photos *photos, const char *path, int fd, dw_photo_info *info,
                            dw_error *err) {
  const dw_photo_limits limits = {DW__PHOTO_MEGAPIXELS_MAX, DECODE_BYTES_MAX, DECODE_LIMIT_S};
  dw_photo *photo = NULL;
  dw_status status = dw_photo_open(path, &limits, &photo, err);
  if (status != DW_OK) return status;
  make_room(photos, (int64_t)dw_spool_bytes(dw_photo_info_get(photo)));
  status = fill_file(fd, photo, err);
  *info = *dw_photo_info_get(photo);
  dw_photo_close(photo); /* from here on nobody can change the spool */
  return status;
}

dw_status dw__spool_make(dw__photos *photos, const char *path, const char *sha256, dw_photo_info *info,
                         dw_error *err) {
  char rough[4000], done[4000];
  snprintf(rough, sizeof rough, "%s/spool-XXXXXX", photos->folder);
  snprintf(done, sizeof done, "%s/%s.spool", photos->folder, sha256);
  int fd = mkostemp(rough, O_CLOEXEC);
  if (fd < 0) return dw_fail(err, DW_IO, "%s can't be written: %s.", photos->folder, strerror(errno));
  dw_status status = in_plain_words(path, make_rough(photos, path, fd, info, err), err);
  close(fd);
  if (status == DW_OK && rename(rough, done))
    status = dw_fail(err, DW_IO, "%s can't be written: %s.", photos->folder, strerror(errno));
  if (status != DW_OK) unlink(rough);
  return status;
}
