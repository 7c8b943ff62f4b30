/* Runs the photo fuzzer's function over seeds and a few thousand mutations of them, always the same ones.
 * With --write DIR the seeds are written instead, as the fuzzer's first corpus. */
#include "fuzz.h"

#include "pictures.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MUTATIONS_PER_SEED = 200, ROOM_EXTRA = 64 };

/* xorshift32 (Marsaglia, J. Stat. Softw. 8 (2003) 14): the same sequence on every machine. */
static uint32_t dice(uint32_t *state) {
  *state ^= *state << 13;
  *state ^= *state >> 17;
  return *state ^= *state << 5;
}

/* Half of the changes fall in the first 700 bytes, where the headers are. */
static size_t place(uint32_t *state, size_t n) {
  size_t range = dice(state) % 2 && n > 700 ? 700 : n;
  return dice(state) % range;
}

static size_t mutate(uint8_t *bytes, size_t n, uint32_t *state) {
  static const uint8_t telling[] = {0, 1, 0x7F, 0x80, 0xFE, 0xFF, 0xC4, 0xD9, 0xDA, 4};
  for (uint32_t times = 1 + dice(state) % 4; times > 0 && n > 8; times--) {
    size_t at = place(state, n), length = 1 + dice(state) % ROOM_EXTRA;
    if (length > n - at) length = n - at;
    switch (dice(state) % 6) {
    case 0:
      bytes[at] ^= (uint8_t)(1u << dice(state) % 8);
      break;
    case 1:
      bytes[at] = telling[dice(state) % sizeof telling];
      break;
    case 2:
      bytes[at] = (uint8_t)dice(state);
      break;
    case 3: /* cut the end off */
      n = at > 8 ? at : n;
      break;
    case 4: /* drop a run */
      memmove(bytes + at, bytes + at + length, n - at - length);
      n -= length;
      break;
    default: /* copy a run elsewhere */
      memmove(bytes + at, bytes + place(state, n - length + 1), length);
    }
  }
  return n;
}

static size_t runs;

static void replay(void *ctx, const uint8_t *bytes, size_t n) {
  (void)ctx;
  uint8_t *copy = malloc(n + 1);
  uint32_t state = 2463534242u + (uint32_t)n;
  assert_non_null(copy);
  LLVMFuzzerTestOneInput(bytes, n);
  for (int i = 0; i < MUTATIONS_PER_SEED; i++, runs++) {
    memcpy(copy, bytes, n);
    LLVMFuzzerTestOneInput(copy, mutate(copy, n, &state));
  }
  free(copy);
}

static void write_seed(void *ctx, const uint8_t *bytes, size_t n) {
  static int number;
  char path[512];
  snprintf(path, sizeof path, "%s/seed_%02d", (const char *)ctx, number++);
  bytes_write(path, bytes, n);
}

static void test_mutated_seeds(void **state) {
  (void)state;
  seeds_make(replay, NULL);
  assert_in_range(runs, 3000, 10000);
}

int main(int argc, char **argv) {
  if (argc == 3 && strcmp(argv[1], "--write") == 0) {
    seeds_make(write_seed, argv[2]);
    return 0;
  }
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_mutated_seeds)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
