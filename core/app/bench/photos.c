#include "app/bench/photos.h"

#include "app/bench/spools.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <nettle/sha2.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#define FOLDER_BYTES_MAX ((int64_t)4 << 30) /* of all photos kept */
enum { READING_BYTES_MAX = 96 << 20, UPLOADS_MAX = 8, PATH_ROOM = 4000, LOCK_WAIT_S = 40 };

struct dw__upload {
  dw__photos *photos;
  int fd;
  char path[PATH_ROOM];
  size_t n;
  struct sha256_ctx sha;
};

/* ---- the folder -------------------------------------------------------------------------------------------
 */

static dw_status folder_failed(const dw__photos *photos, dw_error *err) {
  return dw_fail(err, DW_IO, "The photo folder %s can't be used: %s.", photos->folder, strerror(errno));
}

/* What kept photos' files end in. */
static const char *const photo_ends[] = {"jpg", "png", "heic"};
enum { N_ENDS = sizeof photo_ends / sizeof *photo_ends };

static bool is_photo_end(const char *end) {
  for (size_t i = 0; i < N_ENDS; i++)
    if (strcmp(end, photo_ends[i]) == 0) return true;
  return false;
}

static const char *photo_end_of(const char *format) {
  return strcmp(format, "PNG") == 0 ? "png" : strcmp(format, "HEIC") == 0 ? "heic" : "jpg";
}

static bool has_start(const char *name, const char *start) {
  return strncmp(name, start, strlen(start)) == 0;
}

/* Bytes of the kept photos; with tidy, what an earlier run left half done is removed. */
static int64_t folder_look(const dw__photos *photos, bool tidy) {
  DIR *folder = opendir(photos->folder);
  int64_t all = 0;
  for (struct dirent *e; folder && (e = readdir(folder));) {
    struct stat about;
    if (tidy && has_start(e->d_name, "incoming-")) unlinkat(photos->folder_fd, e->d_name, 0);
    const char *dot = strrchr(e->d_name, '.');
    bool photo = dot && is_photo_end(dot + 1);
    if (photo && fstatat(photos->folder_fd, e->d_name, &about, AT_SYMLINK_NOFOLLOW) == 0)
      all += about.st_size;
  }
  if (folder) closedir(folder);
  return all;
}

dw_status dw__photos_start(dw__photos *photos, const char *book, dw_error *err) {
  photos->folder_fd = photos->lock_fd = -1;
  pthread_mutex_init(&photos->lock, NULL);
  if (snprintf(photos->folder, sizeof photos->folder, "%s.photos", book) >= (int)sizeof photos->folder)
    return dw_fail(err, DW_BAD_INPUT, "The book's path is too long.");
  if (mkdir(photos->folder, 0700) && errno != EEXIST) return folder_failed(photos, err);
  photos->folder_fd = open(photos->folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (photos->folder_fd < 0) return folder_failed(photos, err);
  photos->lock_fd = openat(photos->folder_fd, "lock", O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
  if (photos->lock_fd < 0) return folder_failed(photos, err);
  /* Another bench on the same book may be at work: then its files are no leftovers. */
  if (flock(photos->lock_fd, LOCK_EX | LOCK_NB) == 0) {
    folder_look(photos, true);
    dw__spools_clear(photos);
    flock(photos->lock_fd, LOCK_SH);
  } else {
    flock(photos->lock_fd, LOCK_SH | LOCK_NB);
  }
  return DW_OK;
}

void dw__photos_stop(dw__photos *photos) {
  if (photos->lock_fd >= 0) {
    if (flock(photos->lock_fd, LOCK_EX | LOCK_NB) == 0) dw__spools_clear(photos);
    close(photos->lock_fd);
  }
  if (photos->folder_fd >= 0) close(photos->folder_fd);
  pthread_mutex_destroy(&photos->lock);
}

static dw_status take_lock(dw__photos *photos, dw_error *err) {
  struct timespec until;
  clock_gettime(CLOCK_REALTIME, &until);
  until.tv_sec += LOCK_WAIT_S;
  if (pthread_mutex_timedlock(&photos->lock, &until) == 0) return DW_OK;
  return dw_fail(err, DW_LOCKED, "The bench is still busy with other photos: try again in a moment.");
}

/* ---- coming in --------------------------------------------------------------------------------------------
 */

static dw_status upload_admit(dw__photos *photos, dw_error *err) {
  dw_status status = take_lock(photos, err);
  if (status != DW_OK) return status;
  if (photos->uploads >= UPLOADS_MAX)
    status = dw_fail(err, DW_LOCKED, "%d photos are coming in already: try again in a moment.", UPLOADS_MAX);
  else if (folder_look(photos, false) > FOLDER_BYTES_MAX - DW__PHOTO_BYTES_MAX)
    status =
        dw_fail(err, DW_TOO_LARGE,
                "The photos beside the book have reached 4 GiB: move some out of %s first.", photos->folder);
  else
    photos->uploads++;
  pthread_mutex_unlock(&photos->lock);
  return status;
}

static void upload_leave(dw__photos *photos) {
  pthread_mutex_lock(&photos->lock);
  photos->uploads--;
  pthread_mutex_unlock(&photos->lock);
}

dw_status dw__upload_begin(dw__photos *photos, dw__upload **out, dw_error *err) {
  dw_status status = upload_admit(photos, err);
  if (status != DW_OK) return status;
  dw__upload *upload = calloc(1, sizeof *upload);
  if (!upload) {
    upload_leave(photos);
    return dw_fail_memory(err, "the photo coming in");
  }
  upload->photos = photos;
  sha256_init(&upload->sha);
  snprintf(upload->path, sizeof upload->path, "%s/incoming-XXXXXX", photos->folder);
  upload->fd = mkostemp(upload->path, O_CLOEXEC);
  if (upload->fd < 0) {
    upload->path[0] = '\0';
    status = folder_failed(photos, err);
    dw__upload_free(upload);
    return status;
  }
  *out = upload;
  return DW_OK;
}

dw_status dw__upload_put(dw__upload *upload, const void *bytes, size_t n, dw_error *err) {
  if (n > DW__PHOTO_BYTES_MAX - upload->n)
    return dw_fail(err, DW_TOO_LARGE, "The photo is larger than %d MiB: reduce it first.",
                   DW__PHOTO_BYTES_MAX >> 20);
  upload->n += n;
  sha256_update(&upload->sha, n, bytes);
  for (const char *at = bytes; n > 0;) {
    ssize_t wrote = write(upload->fd, at, n);
    if (wrote < 0 && errno == EINTR) continue;
    if (wrote <= 0) return dw_fail(err, DW_IO, "The photo can't be stored: %s.", strerror(errno));
    at += wrote;
    n -= (size_t)wrote;
  }
  return DW_OK;
}

void dw__upload_digest(const dw__upload *upload, char out[DW__SHA_ROOM]) {
  struct sha256_ctx so_far = upload->sha; /* taking the digest would begin it anew */
  uint8_t digest[SHA256_DIGEST_SIZE];
  sha256_digest(&so_far, sizeof digest, digest);
  dw_hex(digest, sizeof digest, out);
}

static dw_status upload_keep(dw__upload *upload, const char *sha256, dw_error *err) {
  dw__photos *photos = upload->photos;
  dw_photo_info info;
  dw_status status = dw__spool_make(photos, upload->path, sha256, &info, err);
  if (status != DW_OK) return status;
  char place[PATH_ROOM];
  snprintf(place, sizeof place, "%s/%s.%s", photos->folder, sha256, photo_end_of(info.format));
  if (fsync(upload->fd) || rename(upload->path, place))
    return dw_fail(err, DW_IO, "The photo can't be stored: %s.", strerror(errno));
  fsync(photos->folder_fd);
  upload->path[0] = '\0';
  return DW_OK;
}

dw_status dw__upload_finish(dw__upload *upload, char sha256[DW__SHA_ROOM], dw_error *err) {
  if (upload->n == 0) return dw_fail(err, DW_USAGE, "The photo is empty: choose the file again.");
  dw__upload_digest(upload, sha256);
  dw_photo *photo = NULL;
  if (dw__photos_open(upload->photos, sha256, &photo, NULL) == DW_OK) { /* the same photo came before */
    dw_photo_close(photo);
    return DW_OK;
  }
  dw_status status = take_lock(upload->photos, err);
  if (status != DW_OK) return status;
  status = upload_keep(upload, sha256, err);
  pthread_mutex_unlock(&upload->photos->lock);
  return status;
}

void dw__upload_free(dw__upload *upload) {
  if (!upload) return;
  if (upload->fd >= 0) close(upload->fd);
  if (upload->path[0]) unlink(upload->path);
  upload_leave(upload->photos);
  free(upload);
}

/* ---- kept -------------------------------------------------------------------------------------------------
 */

dw_status dw__photos_path(const dw__photos *photos, const char *sha256, char *out, size_t room,
                          dw_error *err) {
  for (size_t i = 0; i < N_ENDS; i++) {
    snprintf(out, room, "%s/%s.%s", photos->folder, sha256, photo_ends[i]);
    if (access(out, R_OK) == 0) return DW_OK;
  }
  return dw_fail(err, DW_NOT_FOUND, "The bench has no such photo: open it again.");
}

static dw_status open_spool(const char *spool, dw_photo **out, dw_error *err) {
  dw_photo_limits limits = {.max_megapixels = DW__PHOTO_MEGAPIXELS_MAX, .max_bytes = READING_BYTES_MAX};
  dw_status status = dw_spool_open(spool, "the photo", &limits, out, err);
  if (status == DW_OK) utimensat(AT_FDCWD, spool, NULL, 0); /* used just now: the last to make room */
  return status;
}

dw_status dw__photos_open(dw__photos *photos, const char *sha256, dw_photo **out, dw_error *err) {
  char path[PATH_ROOM], spool[PATH_ROOM];
  snprintf(spool, sizeof spool, "%s/%s.spool", photos->folder, sha256);
  dw_status status = dw__photos_path(photos, sha256, path, sizeof path, err);
  if (status != DW_OK || open_spool(spool, out, NULL) == DW_OK) return status;
  status = take_lock(photos, err);
  if (status != DW_OK) return status;
  if (open_spool(spool, out, NULL) != DW_OK) { /* nobody made it meanwhile */
    dw_photo_info info;
    status = dw__spool_make(photos, path, sha256, &info, err);
    if (status == DW_OK) status = open_spool(spool, out, err);
  }
  pthread_mutex_unlock(&photos->lock);
  return status;
}

dw_status dw__photos_decode(const dw__photos *photos, const char *sha256, dw_photo **out, dw_error *err) {
  char path[PATH_ROOM];
  dw_photo_limits limits = {.max_megapixels = DW__PHOTO_MEGAPIXELS_MAX, .max_bytes = READING_BYTES_MAX};
  dw_status status = dw__photos_path(photos, sha256, path, sizeof path, err);
  return status == DW_OK ? dw_photo_open(path, &limits, out, err) : status;
}

static dw_status preview_make(dw__photos *photos, const char *sha256, int side, uint8_t **out, size_t *n,
                              dw_error *err) {
  dw_photo *photo = NULL;
  dw_preview preview;
  dw_arena *arena = dw_arena_new(0);
  dw_status status = arena ? dw__photos_open(photos, sha256, &photo, err) : dw_fail_memory(err, "a preview");
  if (status == DW_OK) status = dw_photo_preview(photo, side, arena, &preview, err);
  if (status == DW_OK) status = dw_preview_jpeg(&preview, 88, out, n, err);
  dw_photo_close(photo);
  dw_arena_free(arena);
  return status;
}

dw_status dw__photos_preview(dw__photos *photos, const char *sha256, int side, uint8_t **out, size_t *n,
                             dw_error *err) {
  char path[PATH_ROOM];
  dw_status status = dw__photos_path(photos, sha256, path, sizeof path, err);
  if (status != DW_OK) return status;
  snprintf(path, sizeof path, "%s/%s.view-%d.jpeg", photos->folder, sha256, side);
  char *kept;
  if (dw_file_read(path, DW__PHOTO_BYTES_MAX, &kept, n, NULL) == DW_OK) {
    *out = (uint8_t *)kept;
    return DW_OK;
  }
  status = preview_make(photos, sha256, side, out, n, err);
  if (status == DW_OK) dw_file_write(path, *out, *n, NULL); /* without it the next one only takes longer */
  return status;
}
