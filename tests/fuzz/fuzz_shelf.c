/* Any bytes as a shelf: one that predicts colors and is written and read back the same, or a refusal. */
#include "fuzz.h"

#include "dropwise/mix.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void promise_predicts(const dw_shelf *shelf) {
  const dw_slab slab = {3, DW_BACKING_WHITE};
  dw_recipe recipe = {0};
  dw_prediction out;
  dw_error err;
  if (shelf->n) recipe = (dw_recipe){1, {{0, 2}}};
  if (promised(dw_predict(shelf, &recipe, &slab, &out, &err), &err))
    promise(isfinite(out.lab.L) && isfinite(out.lab.a) && isfinite(out.lab.b), "a prediction is a color");
}

static void promise_written(const dw_shelf *shelf) {
  char *text = NULL, *again = NULL;
  dw_shelf *back = NULL;
  dw_error err;
  promise(dw_shelf_write(shelf, &text, &err) == DW_OK, "a shelf can be written");
  promise(dw_shelf_parse(text, strlen(text), "what was written", &back, &err) == DW_OK, "and read");
  promise(dw_shelf_write(back, &again, &err) == DW_OK && strcmp(text, again) == 0, "without loss");
  dw_shelf_free(back);
  free(text);
  free(again);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n) {
  dw_shelf *shelf = NULL;
  dw_error err;
  char *text = fuzz_text(bytes, n);
  if (promised(dw_shelf_parse(text, n, "the file", &shelf, &err), &err)) {
    promise_predicts(shelf);
    promise_written(shelf);
  } else {
    promise(!shelf, "no shelf on error");
  }
  dw_shelf_free(shelf);
  free(text);
  return 0;
}
