/* Opening a photo in this process: its header, its color space. */
#include "photo/decode.h"
#include "photo/orient.h"

#include <stdlib.h>
#include <string.h>

dw_status dw__photo_check_size(const dw_photo *photo, double width, double height, dw_error *err) {
  double megapixels = width * height / 1e6;
  if (megapixels <= photo->limits.max_megapixels && width <= DW__EDGE_MAX && height <= DW__EDGE_MAX)
    return DW_OK;
  return dw_fail(err, DW_TOO_LARGE,
                 "%s says it is %.0f x %.0f pixels (%.0f megapixels), over the limit of %g: reduce it first.",
                 photo->path, width, height, megapixels, photo->limits.max_megapixels);
}

static dw_status choose_format(dw_photo *photo, const dw__format *const *formats, dw_error *err) {
  uint8_t bytes[DW__SNIFF_BYTES] = {0};
  size_t n = fread(bytes, 1, sizeof bytes, photo->file);
  if (ferror(photo->file)) return dw_fail(err, DW_IO, "%s cannot be read.", photo->path);
  const char *name = dw__sniff(bytes, n);
  for (; name && *formats; formats++)
    if (strcmp((*formats)->name, name) == 0) {
      photo->format = *formats;
      return DW_OK;
    }
  return dw_fail(err, DW_UNSUPPORTED, "%s is not a photo that this decoder reads.", photo->path);
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

dw_status dw__photo_open_here(FILE *file, const char *name, const dw_photo_limits *limits,
                              const dw__format *const *formats, dw_photo **out, dw_error *err) {
  dw_photo *photo = dw__photo_new(name, limits);
  if (!photo) {
    fclose(file);
    return dw_fail_memory(err, "a photo");
  }
  photo->file = file;
  dw_status status = choose_format(photo, formats, err);
  if (status == DW_OK) status = read_header(photo, err);
  if (status == DW_OK)
    *out = photo;
  else
    dw_photo_close(photo);
  return status;
}
