/* Runs one fuzzer's function over its seeds, over inputs that once broke it, and over a fixed number of mutations of
 * both. The same commit gives the same mutations, the next one others: DW_FUZZ_TURN, which tests/run.sh sets, names
 * the turn.
 * With --write DIR the seeds that are made, not kept, are written, for the fuzzer's first corpus. With files it runs
 * these alone. */
#include "fuzz.h"

#include <glob.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { INPUTS_MAX = 256, ROOM_EXTRA = 64, READ_MAX = 4 << 20 };

#pragma weak LLVMFuzzerCustomMutator
#pragma weak fuzz_seeds
void __sanitizer_set_death_callback(void (*callback)(void));
#pragma weak __sanitizer_set_death_callback

typedef struct input {
  uint8_t *bytes;
  size_t n;
} input;

static input inputs[INPUTS_MAX];
static size_t n_inputs;

/* ---- what is being run, kept when it breaks something --------------------------------------------------- */

static const uint8_t *running;
static size_t running_n;

static void keep_running(void) {
  FILE *file = running ? fopen("fuzz-" FUZZ_NAME ".broke", "wb") : NULL;
  if (!file) return;
  fwrite(running, 1, running_n, file);
  fclose(file);
  fprintf(stderr, "The input is kept in fuzz-" FUZZ_NAME ".broke of the test's folder.\n");
  running = NULL;
}

static void on_signal(int number) {
  keep_running();
  signal(number, SIG_DFL);
  raise(number);
}

static void watch(void) {
  signal(SIGABRT, on_signal);
  if (__sanitizer_set_death_callback)
    __sanitizer_set_death_callback(keep_running);
  else
    signal(SIGSEGV, on_signal);
}

static void run(const uint8_t *bytes, size_t n) {
  running = bytes;
  running_n = n;
  LLVMFuzzerTestOneInput(bytes, n);
  running = NULL;
}

/* ---- mutations ------------------------------------------------------------------------------------------ */

/* xorshift32 (Marsaglia, J. Stat. Softw. 8 (2003) 14): the same sequence on every machine. */
static uint32_t state = 2463534242u;
static uint32_t dice(void) {
  state ^= state << 13;
  state ^= state >> 17;
  return state ^= state << 5;
}

/* Half of the changes fall in the first 700 bytes, where headers are. */
static size_t place(size_t n) {
  size_t range = dice() % 2 && n > 700 ? 700 : n;
  return dice() % range;
}

static size_t change_once(uint8_t *bytes, size_t n, size_t room) {
  static const uint8_t telling[] = {0,    1, 0x7F, 0x80, 0xFE, 0xFF, 0xC4, 0xD9,
                                    0xDA, 4, '\n', '"',  '-',  '9',  '[',  ','};
  size_t at = place(n), length = 1 + dice() % ROOM_EXTRA;
  if (length > n - at) length = n - at;
  switch (dice() % 7) {
  case 0:
    bytes[at] ^= (uint8_t)(1u << dice() % 8);
    return n;
  case 1:
    bytes[at] = telling[dice() % sizeof telling];
    return n;
  case 2:
    bytes[at] = (uint8_t)dice();
    return n;
  case 3: /* cut the end off */
    return at ? at : n;
  case 4: /* drop a run */
    memmove(bytes + at, bytes + at + length, n - at - length);
    return n > length ? n - length : n;
  case 5: /* put a byte in */
    if (n == room) return n;
    memmove(bytes + at + 1, bytes + at, n - at);
    bytes[at] = telling[dice() % sizeof telling];
    return n + 1;
  default: /* copy a run elsewhere */
    memmove(bytes + at, bytes + place(n - length + 1), length);
    return n;
  }
}

size_t LLVMFuzzerMutate(uint8_t *bytes, size_t n, size_t room) {
  for (uint32_t times = 1 + dice() % 4; times > 0 && n > 0; times--) n = change_once(bytes, n, room);
  return n;
}

static void run_mutated(const input *seed) {
  size_t room = seed->n + ROOM_EXTRA;
  uint8_t *copy = malloc(room);
  promise(copy != NULL, "memory");
  memcpy(copy, seed->bytes, seed->n);
  size_t n = LLVMFuzzerCustomMutator ? LLVMFuzzerCustomMutator(copy, seed->n, room, dice())
                                     : LLVMFuzzerMutate(copy, seed->n, room);
  uint8_t *exact = malloc(n ? n : 1); /* so that a sanitizer sees a byte read behind its end */
  promise(exact != NULL, "memory");
  memcpy(exact, copy, n);
  run(exact, n);
  free(exact);
  free(copy);
}

/* ---- inputs --------------------------------------------------------------------------------------------- */

static void take(void *ctx, const uint8_t *bytes, size_t n) {
  (void)ctx;
  promise(n_inputs < INPUTS_MAX, "as many seeds as there is room for");
  input *to = &inputs[n_inputs++];
  to->bytes = malloc(n ? n : 1);
  to->n = n;
  promise(to->bytes != NULL, "memory");
  memcpy(to->bytes, bytes, n);
}

static void take_file(const char *path) {
  FILE *file = fopen(path, "rb");
  uint8_t *bytes = malloc(READ_MAX);
  promise(file && bytes, path);
  take(NULL, bytes, fread(bytes, 1, READ_MAX, file));
  free(bytes);
  fclose(file);
}

static void take_files(const char *pattern) {
  glob_t found;
  if (glob(pattern, 0, NULL, &found) == 0)
    for (size_t i = 0; i < found.gl_pathc; i++) take_file(found.gl_pathv[i]);
  globfree(&found);
}

static void take_all(void) {
  take_files(DW_SOURCE_DIR "/tests/fuzz/seeds/" FUZZ_NAME "/*");
  take_files(DW_SOURCE_DIR "/tests/fuzz/found/" FUZZ_NAME "/*");
  if (*FUZZ_SAMPLES) take_files(DW_SOURCE_DIR "/samples/" FUZZ_SAMPLES);
  if (fuzz_seeds) fuzz_seeds(take, NULL);
}

static void write_seed(void *ctx, const uint8_t *bytes, size_t n) {
  static int number;
  char path[512];
  snprintf(path, sizeof path, "%s/made-%02d", (const char *)ctx, number++);
  FILE *file = fopen(path, "wb");
  promise(file && fwrite(bytes, 1, n, file) == n && fclose(file) == 0, path);
}

static void turn_take(void) {
  const char *turn = getenv("DW_FUZZ_TURN");
  for (; turn && *turn; turn++) state = (state ^ (uint8_t)*turn) * 16777619u | 1u;
}

int main(int argc, char **argv) {
  if (argc == 3 && strcmp(argv[1], "--write") == 0) {
    if (fuzz_seeds) fuzz_seeds(write_seed, argv[2]);
    return 0;
  }
  watch();
  if (argc > 1)
    for (int i = 1; i < argc; i++) take_file(argv[i]);
  else
    take_all();
  promise(n_inputs > 0, "there are seeds");
  for (size_t i = 0; i < n_inputs; i++) run(inputs[i].bytes, inputs[i].n);
  turn_take();
  for (size_t i = 0; i < FUZZ_RUNS && argc == 1; i++) run_mutated(&inputs[i % n_inputs]);
  printf("%zu inputs and %d mutations of them\n", n_inputs, argc == 1 ? FUZZ_RUNS : 0);
  for (size_t i = 0; i < n_inputs; i++) free(inputs[i].bytes);
  return 0;
}
