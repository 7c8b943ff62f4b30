/* Opening a photo: the file, its kind, its header, its color space. */
#include "photo/decode.h"
#include "photo/orient.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

pt_photo_limits pt_photo_limits_default(void) {
  return (pt_photo_limits){.max_megapixels = 200, .max_bytes = (size_t)512 << 20};
}

pt_status pt__photo_check_size(const pt_photo *photo, double width, double height, pt_error *err) {
  double megapixels = width * height / 1e6;
  if (megapixels <= photo->limits.max_megapixels && width <= PT__EDGE_MAX && height <= PT__EDGE_MAX)
    return PT_OK;
  return pt_fail(err, PT_TOO_LARGE,
                 "%s says it is %.0f x %.0f pixels (%.0f megapixels), over the limit of %g: reduce it first.",
                 photo->path, width, height, megapixels, photo->limits.max_megapixels);
}

pt_status pt__photo_cut(const pt_photo *photo, pt_rect rect, pt_rect *out, pt_error *err) {
  int64_t right = (int64_t)rect.x + rect.w, bottom = (int64_t)rect.y + rect.h;
  const pt_photo_info *info = &photo->info;
  if (rect.w <= 0 || rect.h <= 0 || rect.x >= info->width || rect.y >= info->height || right <= 0 ||
      bottom <= 0)
    return pt_fail(err, PT_BAD_INPUT,
                   "The area %d,%d,%dx%d lies outside %s, which is %d x %d pixels: mark it again.", rect.x,
                   rect.y, rect.w, rect.h, photo->path, info->width, info->height);
  out->x = rect.x > 0 ? rect.x : 0;
  out->y = rect.y > 0 ? rect.y : 0;
  out->w = (int)(right < info->width ? right : info->width) - out->x;
  out->h = (int)(bottom < info->height ? bottom : info->height) - out->y;
  return PT_OK;
}

pt_status pt__photo_open_file(pt_photo *photo, const char *path, pt_error *err) {
  struct stat about;
  int fd = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (fd < 0) {
    pt_status status = errno == ENOENT || errno == ENOTDIR ? PT_NOT_FOUND : PT_IO;
    return pt_fail(err, status, "%s cannot be opened: %s.", photo->path, strerror(errno));
  }
  pt_status status = PT_OK;
  if (fstat(fd, &about) != 0)
    status = pt_fail(err, PT_IO, "%s cannot be read: %s.", photo->path, strerror(errno));
  else if (!S_ISREG(about.st_mode))
    status = pt_fail(err, PT_BAD_INPUT, "%s is not a file: name a JPEG or PNG photo.", photo->path);
  else if (!(photo->file = fdopen(fd, "rb")))
    status = pt_fail_memory(err, "the photo's file");
  if (status != PT_OK) close(fd);
  return status;
}

static pt_status choose_format(pt_photo *photo, pt_error *err) {
  uint8_t bytes[16] = {0};
  size_t n = fread(bytes, 1, sizeof bytes, photo->file);
  if (ferror(photo->file)) return pt_fail(err, PT_IO, "%s cannot be read.", photo->path);
  if (n == 0) return pt_fail(err, PT_CORRUPT, "%s is empty: copy the photo again.", photo->path);
  if (n >= 3 && memcmp(bytes, "\xFF\xD8\xFF", 3) == 0) {
    photo->format = &pt__format_jpeg;
    return PT_OK;
  }
  if (n >= 8 && memcmp(bytes, "\x89PNG\r\n\x1A\n", 8) == 0) {
    photo->format = &pt__format_png;
    return PT_OK;
  }
  const char *other = pt__sniff_other(bytes, n);
  return pt_fail(err, PT_UNSUPPORTED, "%s is not a JPEG or PNG photo; it seems to be %s.", photo->path,
                 other ? other : "something else: use a JPEG or PNG");
}

static pt_status read_header(pt_photo *photo, pt_error *err) {
  pt__header header = {0};
  pt_photo_info *info = &photo->info;
  info->orientation = 1;
  pt_status status = photo->format->header(photo, &header, err);
  if (status == PT_OK) status = pt__space_choose(photo, &header, err);
  if (status == PT_OK) {
    bool swap = pt__orient_swaps(info->orientation);
    info->width = swap ? info->stored_height : info->stored_width;
    info->height = swap ? info->stored_width : info->stored_height;
  }
  free(header.icc);
  return status;
}

pt_status pt_photo_open(const char *path, const pt_photo_limits *limits, pt_photo **out, pt_error *err) {
  pt_photo *photo = calloc(1, sizeof *photo);
  if (!photo) return pt_fail_memory(err, "a photo");
  photo->limits = limits ? *limits : pt_photo_limits_default();
  pt_status status = PT_OK;
  photo->path = strdup(path);
  if (!photo->path) status = pt_fail_memory(err, "a photo");
  if (status == PT_OK) status = pt__photo_open_file(photo, path, err);
  if (status == PT_OK) status = choose_format(photo, err);
  if (status == PT_OK) status = read_header(photo, err);
  if (status == PT_OK)
    *out = photo;
  else
    pt_photo_close(photo);
  return status;
}

void pt_photo_close(pt_photo *photo) {
  if (!photo) return;
  pt_profile_close(photo->profile);
  if (photo->file) fclose(photo->file);
  free(photo->path);
  free(photo);
}

const pt_photo_info *pt_photo_info_get(const pt_photo *photo) {
  return &photo->info;
}

const char *pt_photo_path(const pt_photo *photo) {
  return photo->path;
}
