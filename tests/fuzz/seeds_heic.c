/* Small HEIC photos, as seeds. */
#include "seeds_photo.h"

#include "photo/heic_write.h"
#include "profiles.h"

#include <stdlib.h>

static void take_heic(const seed_maker *m, const heic_how *how) {
  const char *path = in_folder(m->folder, "seed");
  picture p = picture_make(64, 64, 3, how->bits > 8 ? 16 : 8);
  if (heic_write(path, &p, how))
    seed_take_file(m, path, p.bytes);
  else
    free(p.bytes);
}

void seeds_make(const seed_maker *m) {
  size_t wide_bytes;
  void *wide = p3_profile(&wide_bytes);
  take_heic(m, &(heic_how){.bits = 8, .exif_orientation = 6});
  take_heic(m, &(heic_how){.bits = 8, .orientation = 6, .icc = wide, .icc_bytes = wide_bytes});
  take_heic(m, &(heic_how){.bits = 10, .primaries = 12, .transfer = 13});
  free(wide);
}
