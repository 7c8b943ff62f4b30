#include "dropwise/bottle_look.h"

static dw_status look(const dw_shelf *shelf, size_t bottle, double loading, const dw_slab *slab,
                      dw_prediction *out, dw_error *err) {
  const dw_recipe alone = {1, {{bottle, loading}}};
  return dw_predict(shelf, &alone, slab, out, err);
}

dw_status dw_bottle_look_at(const dw_shelf *shelf, size_t bottle, dw_bottle_look *out, dw_error *err) {
  static const double loadings[DW_SWATCHES] = {0.5, 2, 8};
  static const dw_slab chip = {DW_SWATCH_MM, DW_BACKING_WHITE}, bait = {DW_HIDING_MM, DW_BACKING_WHITE},
                       dark = {DW_SWATCH_MM, DW_BACKING_BLACK};
  dw_prediction p, black;
  dw_bottle_look found;
  dw_status status = DW_OK;
  for (size_t i = 0; i < DW_SWATCHES && status == DW_OK; i++) {
    status = look(shelf, bottle, loadings[i], &chip, &p, err);
    if (status == DW_OK) status = look(shelf, bottle, loadings[i], &dark, &black, err);
    if (status != DW_OK) return status;
    found.swatch[i].loading = loadings[i];
    found.swatch[i].over_black = black.lab;
    found.swatch[i].lab = p.lab;
    found.swatch[i].see_through = p.see_through;
  }
  if (status == DW_OK) status = look(shelf, bottle, DW_HIDING_LOADING, &bait, &p, err);
  if (status != DW_OK) return status;
  found.hiding = p.see_through;
  *out = found;
  return DW_OK;
}
