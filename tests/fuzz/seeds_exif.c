/* EXIF blocks as cameras write them, as seeds. */
#include "fuzz.h"

#include "pictures.h"

void fuzz_seeds(void (*take)(void *ctx, const uint8_t *bytes, size_t n), void *ctx) {
  uint8_t block[80];
  take(ctx, block, exif_make(block, 6, "2026:05:01 14:03:22"));
  take(ctx, block, exif_make(block, 1, NULL));
}
