/* Any bytes as a card in CGATS text: a card whose patches are colors, or a refusal. */
#include "fuzz.h"

#include "dropwise/card.h"

#include <math.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  static dw_card card;
  dw_error err;
  if (!promised(dw_card_load(fuzz_path(bytes, n), &card, &err), &err)) return 0;
  promise(card.rows >= 2 && card.cols >= 2 && card.rows * card.cols <= DW_CARD_PATCHES_MAX,
          "a card is a grid");
  promise(strnlen(card.title, sizeof card.title) < sizeof card.title, "a card has a title");
  for (size_t i = 0; i < card.rows * card.cols; i++) {
    promise(card.id[i][0] != '\0', "a patch has a name");
    promise(isfinite(card.lab[i].L) && isfinite(card.lab[i].a) && isfinite(card.lab[i].b),
            "a patch is a color");
  }
  return 0;
}
