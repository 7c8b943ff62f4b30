/* Small JPEG photos of every kind, as seeds. */
#include "seeds_photo.h"

#include "pictures.h"
#include "profiles.h"

#include <jpeglib.h>
#include <stdlib.h>

static void take_jpeg(const seed_maker *m, int samples, const jpeg_how *how) {
  const char *path = in_folder(m->folder, "seed");
  picture p = picture_make(29, 21, samples, 8);
  jpeg_write(path, &p, how);
  seed_take_file(m, path, p.bytes);
}

void seeds_make(const seed_maker *m) {
  size_t wide_bytes, ink_bytes;
  void *wide = p3_profile(&wide_bytes), *ink = ink_profile(3, &ink_bytes);
  take_jpeg(m, 3, &(jpeg_how){.h = 2, .v = 2, .orientation = 6, .taken = "2026:05:01 14:03:22"});
  take_jpeg(m, 3, &(jpeg_how){.h = 2, .v = 1, .progressive = 1});
  take_jpeg(m, 3, &(jpeg_how){.h = 1, .v = 2, .one_component_scans = 1});
  take_jpeg(m, 3, &(jpeg_how){.h = 2, .v = 2, .restart_rows = 1, .icc = wide, .icc_bytes = wide_bytes});
  take_jpeg(m, 3, &(jpeg_how){.space = JCS_RGB});
  take_jpeg(m, 3, &(jpeg_how){.arithmetic = 1, .progressive = 1});
  take_jpeg(m, 3, &(jpeg_how){.scans = 20});
  take_jpeg(m, 1, &(jpeg_how){.orientation = 3});
  take_jpeg(m, 4, &(jpeg_how){.space = JCS_YCCK, .icc = ink, .icc_bytes = ink_bytes});
  free(wide);
  free(ink);
}
