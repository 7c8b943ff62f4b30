/* PNG bytes of a preview, in memory. */
#include "dropwise/photo.h"

#include <png.h>
#include <stdlib.h>

static dw_status fail(const png_image *image, dw_error *err) {
  return dw_fail(err, DW_INTERNAL, "The picture can't be written as PNG: %.60s.", image->message);
}

dw_status dw_preview_png(const dw_preview *preview, uint8_t **out, size_t *n, dw_error *err) {
  png_image image = {.version = PNG_IMAGE_VERSION,
                     .width = (png_uint_32)preview->width,
                     .height = (png_uint_32)preview->height,
                     .format = PNG_FORMAT_RGB};
  png_alloc_size_t most = PNG_IMAGE_PNG_SIZE_MAX(image); /* one pass instead of two: compressing takes time */
  uint8_t *bytes = malloc(most);
  if (!bytes) return dw_fail_memory(err, "the picture");
  if (!png_image_write_to_memory(&image, bytes, &most, 0, preview->rgb, 0, NULL)) {
    free(bytes);
    return fail(&image, err);
  }
  *out = bytes;
  *n = most;
  return DW_OK;
}
