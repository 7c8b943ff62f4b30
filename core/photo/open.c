/* Opening a photo: the file, its kind, its decoder. */
#include "photo/decode.h"
#include "photo/decoder.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

dw_photo_limits dw_photo_limits_default(void) {
  return (dw_photo_limits){.max_megapixels = 200, .max_bytes = (size_t)512 << 20, .max_s = 120};
}

dw_status dw__photo_cut(const dw_photo *photo, dw_rect rect, dw_rect *out, dw_error *err) {
  int64_t right = (int64_t)rect.x + rect.w, bottom = (int64_t)rect.y + rect.h;
  const dw_photo_info *info = &photo->info;
  if (rect.w <= 0 || rect.h <= 0 || rect.x >= info->width || rect.y >= info->height || right <= 0 ||
      bottom <= 0)
    return dw_fail(err, DW_BAD_INPUT,
                   "The area %d,%d,%dx%d lies outside %s, which is %d x %d pixels: mark it again.", rect.x,
                   rect.y, rect.w, rect.h, photo->path, info->width, info->height);
  out->x = rect.x > 0 ? rect.x : 0;
  out->y = rect.y > 0 ? rect.y : 0;
  out->w = (int)(right < info->width ? right : info->width) - out->x;
  out->h = (int)(bottom < info->height ? bottom : info->height) - out->y;
  return DW_OK;
}

dw_status dw__photo_open_fd(const char *path, const char *name, int *out, dw_error *err) {
  struct stat about;
  int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (fd < 0) return dw_fail(err, dw_open_status(errno), "%s cannot be opened: %s.", name, strerror(errno));
  dw_status status = DW_OK;
  if (fstat(fd, &about) != 0)
    status = dw_fail(err, DW_IO, "%s cannot be read: %s.", name, strerror(errno));
  else if (!S_ISREG(about.st_mode))
    status = dw_fail(err, DW_BAD_INPUT, "%s is not a file: name a JPEG, PNG or HEIC photo.", name);
  if (status == DW_OK)
    *out = fd;
  else
    close(fd);
  return status;
}

dw_photo *dw__photo_new(const char *name, const dw_photo_limits *limits) {
  dw_photo *photo = calloc(1, sizeof *photo);
  if (!photo) return NULL;
  photo->limits = limits ? *limits : dw_photo_limits_default();
  if (!(photo->limits.max_s > 0)) photo->limits.max_s = dw_photo_limits_default().max_s;
  photo->path = strdup(name);
  if (photo->path) return photo;
  free(photo);
  return NULL;
}

static dw_status see_format(const dw_photo *photo, int fd, const char **out, dw_error *err) {
  uint8_t bytes[DW__SNIFF_BYTES] = {0};
  ssize_t n = pread(fd, bytes, sizeof bytes, 0);
  if (n < 0) return dw_fail(err, DW_IO, "%s cannot be read.", photo->path);
  if (n == 0) return dw_fail(err, DW_CORRUPT, "%s is empty: copy the photo again.", photo->path);
  *out = dw__sniff(bytes, (size_t)n);
  if (*out) return DW_OK;
  const char *other = dw__sniff_other(bytes, (size_t)n);
  return dw_fail(err, DW_UNSUPPORTED, "%s is not a JPEG, PNG or HEIC photo; it seems to be %s.", photo->path,
                 other ? other : "something else: use a JPEG or PNG");
}

dw_status dw_photo_open(const char *path, const dw_photo_limits *limits, dw_photo **out, dw_error *err) {
  const char *format;
  int fd = -1;
  dw_photo *photo = dw__photo_new(path, limits);
  if (!photo) return dw_fail_memory(err, "a photo");
  dw_status status = dw__photo_open_fd(path, path, &fd, err);
  if (status == DW_OK) status = see_format(photo, fd, &format, err);
  if (status == DW_OK) status = dw__decoder_open(photo, format, fd, err);
  if (fd >= 0) close(fd);
  if (status == DW_OK)
    *out = photo;
  else
    dw_photo_close(photo);
  return status;
}

void dw_photo_close(dw_photo *photo) {
  if (!photo) return;
  dw__decoder_stop(&photo->decoder);
  if (photo->format && photo->format->close) photo->format->close(photo);
  dw_profile_close(photo->profile);
  if (photo->file) fclose(photo->file);
  free(photo->path);
  free(photo);
}

const dw_photo_info *dw_photo_info_get(const dw_photo *photo) {
  return &photo->info;
}

const char *dw_photo_path(const dw_photo *photo) {
  return photo->path;
}
