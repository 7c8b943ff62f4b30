#include "dropwise/bottle_look.h"

static dw_status look(const dw_shelf *shelf, size_t bottle, double loading, const dw_slab *slab,
                      dw_prediction *out, dw_error *err) {
  const dw_recipe alone = {1, {{bottle, loading}}};
  return dw_predict(shelf, &alone, slab, out, err);
}

dw_status dw_swatch_look_at(const dw_shelf *shelf, size_t bottle, double loading, dw_swatch *out,
                            dw_error *err) {
  static const dw_slab light = {DW_SWATCH_MM, DW_BACKING_WHITE}, dark = {DW_SWATCH_MM, DW_BACKING_BLACK};
  dw_prediction white, black;
  dw_status status = look(shelf, bottle, loading, &light, &white, err);
  if (status == DW_OK) status = look(shelf, bottle, loading, &dark, &black, err);
  if (status == DW_OK) *out = (dw_swatch){loading, white.lab, black.lab, white.see_through};
  return status;
}

dw_status dw_bottle_look_at(const dw_shelf *shelf, size_t bottle, dw_bottle_look *out, dw_error *err) {
  static const double loadings[DW_SWATCHES] = {0.5, 2, 8};
  static const dw_slab bait = {DW_HIDING_MM, DW_BACKING_WHITE};
  dw_prediction p;
  dw_bottle_look found;
  dw_status status = DW_OK;
  for (size_t i = 0; i < DW_SWATCHES && status == DW_OK; i++)
    status = dw_swatch_look_at(shelf, bottle, loadings[i], &found.swatch[i], err);
  if (status == DW_OK) status = look(shelf, bottle, DW_HIDING_LOADING, &bait, &p, err);
  if (status != DW_OK) return status;
  found.hiding = p.see_through;
  *out = found;
  return DW_OK;
}
