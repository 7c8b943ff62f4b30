/* Small photos as seeds: each is written to a file, which is then the seed. */
#ifndef DROPWISE_TESTS_FUZZ_SEEDS_PHOTO_H
#define DROPWISE_TESTS_FUZZ_SEEDS_PHOTO_H

#include "fuzz.h"

typedef struct seed_maker {
  void **folder;
  void (*take)(void *ctx, const uint8_t *bytes, size_t n);
  void *ctx;
} seed_maker;

/* Takes the file, frees the pixels. */
void seed_take_file(const seed_maker *m, const char *path, uint8_t *pixels);
/* All seeds of one format. */
void seeds_make(const seed_maker *m);

#endif
