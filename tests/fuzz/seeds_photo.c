#include "seeds_photo.h"

#include "pictures.h"

#include <stdlib.h>

void seed_take_file(const seed_maker *m, const char *path, uint8_t *pixels) {
  size_t n;
  uint8_t *bytes = bytes_read(path, &n);
  m->take(m->ctx, bytes, n);
  free(bytes);
  free(pixels);
}

void fuzz_seeds(void (*take)(void *ctx, const uint8_t *bytes, size_t n), void *ctx) {
  void *folder = NULL;
  assert_int_equal(folder_make(&folder), 0);
  seed_maker m = {&folder, take, ctx};
  seeds_make(&m);
  assert_int_equal(folder_remove(&folder), 0);
}
