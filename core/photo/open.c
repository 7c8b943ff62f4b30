/* Opening a photo: the file, its kind, its header, its color space. */
#include "photo/decode.h"
#include "photo/orient.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

dw_photo_limits dw_photo_limits_default(void) {
  return (dw_photo_limits){.max_megapixels = 200, .max_bytes = (size_t)512 << 20};
}

dw_status dw__photo_check_size(const dw_photo *photo, double width, double height, dw_error *err) {
  double megapixels = width * height / 1e6;
  if (megapixels <= photo->limits.max_megapixels && width <= DW__EDGE_MAX && height <= DW__EDGE_MAX)
    return DW_OK;
  return dw_fail(err, DW_TOO_LARGE,
                 "%s says it is %.0f x %.0f pixels (%.0f megapixels), over the limit of %g: reduce it first.",
                 photo->path, width, height, megapixels, photo->limits.max_megapixels);
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

dw_status dw__photo_open_file(dw_photo *photo, const char *path, dw_error *err) {
  struct stat about;
  int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (fd < 0) {
    dw_status status = errno == ENOENT || errno == ENOTDIR ? DW_NOT_FOUND : DW_IO;
    return dw_fail(err, status, "%s cannot be opened: %s.", photo->path, strerror(errno));
  }
  dw_status status = DW_OK;
  if (fstat(fd, &about) != 0)
    status = dw_fail(err, DW_IO, "%s cannot be read: %s.", photo->path, strerror(errno));
  else if (!S_ISREG(about.st_mode))
    status = dw_fail(err, DW_BAD_INPUT, "%s is not a file: name a JPEG or PNG photo.", photo->path);
  else if (!(photo->file = fdopen(fd, "rb")))
    status = dw_fail_memory(err, "the photo's file");
  if (status != DW_OK) close(fd);
  return status;
}

static dw_status choose_format(dw_photo *photo, dw_error *err) {
  uint8_t bytes[16] = {0};
  size_t n = fread(bytes, 1, sizeof bytes, photo->file);
  if (ferror(photo->file)) return dw_fail(err, DW_IO, "%s cannot be read.", photo->path);
  if (n == 0) return dw_fail(err, DW_CORRUPT, "%s is empty: copy the photo again.", photo->path);
  if (n >= 3 && memcmp(bytes, "\xFF\xD8\xFF", 3) == 0) {
    photo->format = &dw__format_jpeg;
    return DW_OK;
  }
  if (n >= 8 && memcmp(bytes, "\x89PNG\r\n\x1A\n", 8) == 0) {
    photo->format = &dw__format_png;
    return DW_OK;
  }
  const char *other = dw__sniff_other(bytes, n);
  return dw_fail(err, DW_UNSUPPORTED, "%s is not a JPEG or PNG photo; it seems to be %s.", photo->path,
                 other ? other : "something else: use a JPEG or PNG");
}

static dw_status read_header(dw_photo *photo, dw_error *err) {
  dw__header header = {0};
  dw_photo_info *info = &photo->info;
  info->orientation = 1;
  dw_status status = photo->format->header(photo, &header, err);
  if (status == DW_OK) status = dw__space_choose(photo, &header, err);
  if (status == DW_OK) {
    bool swap = dw__orient_swaps(info->orientation);
    info->width = swap ? info->stored_height : info->stored_width;
    info->height = swap ? info->stored_width : info->stored_height;
  }
  free(header.icc);
  return status;
}

dw_status dw_photo_open(const char *path, const dw_photo_limits *limits, dw_photo **out, dw_error *err) {
  dw_photo *photo = calloc(1, sizeof *photo);
  if (!photo) return dw_fail_memory(err, "a photo");
  photo->limits = limits ? *limits : dw_photo_limits_default();
  dw_status status = DW_OK;
  photo->path = strdup(path);
  if (!photo->path) status = dw_fail_memory(err, "a photo");
  if (status == DW_OK) status = dw__photo_open_file(photo, path, err);
  if (status == DW_OK) status = choose_format(photo, err);
  if (status == DW_OK) status = read_header(photo, err);
  if (status == DW_OK)
    *out = photo;
  else
    dw_photo_close(photo);
  return status;
}

void dw_photo_close(dw_photo *photo) {
  if (!photo) return;
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
