/* Any bytes as chips in CSV: chips within their ranges, or a refusal that leaves the shelf as it was. */
#include "fuzz.h"

#include "dropwise/fit.h"

#include <stdlib.h>

static void promise_chip(const dw_chip *chip, const dw_shelf *shelf) {
  char words[200];
  promise(chip->thickness_mm > 0 && chip->thickness_mm <= DW_THICKNESS_MAX_MM, "a chip has a thickness");
  promise(chip->backing >= 0 && chip->backing <= 1, "a backing is a reflectance");
  promise(chip->lab.L >= 0 && chip->lab.L <= 110, "a chip has a color");
  for (size_t i = 0; i < chip->recipe.n; i++)
    promise(chip->recipe.part[i].bottle < shelf->n, "a part is a bottle");
  dw_chip_words(chip, shelf, words, sizeof words);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  static dw_shelf *shelf;
  static size_t own;
  dw_error err;
  dw_chips *chips = NULL;
  char *text = fuzz_text(bytes, n);
  if (!shelf) {
    promise(dw_shelf_starter(&shelf, &err) == DW_OK, "memory");
    own = shelf->n;
  }
  if (promised(dw_chips_parse(text, n, "the file", shelf, &chips, &err), &err)) {
    promise(chips->n > 0 && chips->n <= DW_CHIPS_MAX, "there are chips");
    for (size_t i = 0; i < chips->n; i++) promise_chip(&chips->chip[i], shelf);
  } else {
    promise(!chips && shelf->n == own, "a refused file changes nothing");
  }
  shelf->n = own;
  dw_chips_free(chips);
  free(text);
  return 0;
}
