/* The custom mutator of targets whose whole input is one JSON document. */
#include "fuzz.h"

size_t LLVMFuzzerCustomMutator(uint8_t *bytes, size_t n, size_t room, unsigned seed) {
  return fuzz_json_mutate(bytes, n, room, seed);
}
