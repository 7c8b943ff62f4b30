/* What the fuzzers and their replay share. */
#ifndef DROPWISE_TESTS_FUZZ_H
#define DROPWISE_TESTS_FUZZ_H

#include <stddef.h>
#include <stdint.h>

/* libFuzzer's entry: opens these bytes as a photo, reads areas and a preview. Aborts on a broken promise. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

/* Small photos of every kind; calls take for each. */
void seeds_make(void (*take)(void *ctx, const uint8_t *bytes, size_t n), void *ctx);

#endif
