/* What the fuzzers, their replay and their seeds share. */
#ifndef DROPWISE_TESTS_FUZZ_H
#define DROPWISE_TESTS_FUZZ_H

#include "dropwise/base.h"

/* libFuzzer's entry: takes any bytes as one file of the target's format. Aborts on a broken promise; 0. */
int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);
/* A target's own way to change an input, where bytes alone would not get past a bracket. Optional. */
size_t LLVMFuzzerCustomMutator(uint8_t *bytes, size_t n, size_t room, unsigned seed);
/* libFuzzer's way, or the replay's: what a custom mutator calls. */
size_t LLVMFuzzerMutate(uint8_t *bytes, size_t n, size_t room);

/* Changes a JSON text as JSON: for custom mutators. */
size_t fuzz_json_mutate(uint8_t *bytes, size_t n, size_t room, unsigned seed);

/* Seeds that are made, not kept in seeds/NAME. Optional. */
void fuzz_seeds(void (*take)(void *ctx, const uint8_t *bytes, size_t n), void *ctx);

/* Aborts with the sentence unless it was kept. */
void promise(bool kept, const char *what);
/* A refusal says which status, in one sentence, and does not call itself a fault of the program. */
void promise_refusal(dw_status status, const dw_error *err);
/* The status is DW_OK or a sound refusal; true when DW_OK. */
bool promised(dw_status status, const dw_error *err);

/* A file in memory that holds these bytes: its descriptor, the same for every call, at its start. */
int fuzz_file(const uint8_t *bytes, size_t n);
/* The same file's path. */
const char *fuzz_path(const uint8_t *bytes, size_t n);
/* A folder in memory, made once, removed at the end. */
const char *fuzz_folder(void);
/* The bytes as a text; the caller's (free). */
char *fuzz_text(const uint8_t *bytes, size_t n);
/* Changes a frame as the input says: offset (two bytes), how many (one), and these, again and again. */
void fuzz_patch(void *frame, size_t size, const uint8_t *bytes, size_t n);

#endif
