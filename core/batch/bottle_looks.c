#include "batch/bottle_looks.h"

#include <math.h>

static dw_status look(const dw_shelf *shelf, size_t bottle, double backing, dw_lab *out, dw_error *err) {
  const dw_recipe letdown = {.n = 1, .part = {{bottle, DW__LOOKS_LOADING}}};
  const dw_slab slab = {DW__LOOKS_MM, backing};
  dw_prediction seen;
  dw_status status = dw_predict(shelf, &letdown, &slab, &seen, err);
  if (status == DW_OK) *out = seen.lab;
  return status;
}

dw_status dw__bottle_looks_of(const dw_shelf *shelf, size_t bottle, dw__bottle_looks *out, dw_error *err) {
  dw_status status = look(shelf, bottle, DW_BACKING_WHITE, &out->over_white, err);
  return status == DW_OK ? look(shelf, bottle, DW_BACKING_BLACK, &out->over_black, err) : status;
}

double dw__bottle_looks_apart(const dw__bottle_looks *a, const dw__bottle_looks *b) {
  return fmax(dw_de00(a->over_white, b->over_white), dw_de00(a->over_black, b->over_black));
}
