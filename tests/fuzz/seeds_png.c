/* Small PNG photos of every kind, as seeds. */
#include "seeds_photo.h"

#include "pictures.h"
#include "profiles.h"

#include <png.h>
#include <stdlib.h>

static void take_png(const seed_maker *m, int samples, const png_how *how) {
  const char *path = in_folder(m->folder, "seed");
  picture p = picture_make(29, 21, samples, how->depth == 16 ? 16 : 8);
  for (int i = 0; how->depth < 8 && i < 29 * 21 * samples; i++)
    p.bytes[i] = (uint8_t)(p.bytes[i] >> (8 - how->depth));
  png_write(path, &p, how);
  seed_take_file(m, path, p.bytes);
}

void seeds_make(const seed_maker *m) {
  static const uint8_t cicp[4] = {1, 13, 0, 1};
  size_t wide_bytes;
  void *wide = p3_profile(&wide_bytes);
  take_png(m, 1, &(png_how){.type = PNG_COLOR_TYPE_GRAY, .depth = 1});
  take_png(m, 1, &(png_how){.type = PNG_COLOR_TYPE_GRAY, .depth = 16, .gamma = 0.5});
  take_png(m, 1, &(png_how){.type = PNG_COLOR_TYPE_PALETTE, .depth = 4, .transparent = 1, .interlaced = 1});
  take_png(m, 3,
           &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 8, .orientation = 8, .chroma = p3_xy, .gamma = 1});
  take_png(m, 3, &(png_how){.type = PNG_COLOR_TYPE_RGB, .depth = 16, .interlaced = 1, .srgb = 1});
  take_png(m, 4,
           &(png_how){.type = PNG_COLOR_TYPE_RGB_ALPHA, .depth = 8, .icc = wide, .icc_bytes = wide_bytes});
  take_png(m, 2, &(png_how){.type = PNG_COLOR_TYPE_GRAY_ALPHA, .depth = 8, .cicp = cicp, .transparent = 0});
  free(wide);
}
