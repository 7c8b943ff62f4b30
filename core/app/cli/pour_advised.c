/* Cups filled as advised, so that nobody types a recipe again. */
#include "app/cli/pour.h"
#include "dropwise/batch_drift.h"

#include <math.h>

static dw_status fill(const cli_args *args, dw_book *book, cli_poured *poured, const dw_pattern_layer *layer,
                      dw_error *err) {
  dw_cup cup;
  int64_t id, pour;
  double volume, capacity;
  dw_slab slab = {isnan(poured->slab.thickness_mm) ? 10 : poured->slab.thickness_mm,
                  isnan(poured->slab.backing) ? DW_BACKING_GRAY : poured->slab.backing};
  dw_status status = cli_volume(args, "--volume", 0.01, 1000, 0, &volume, err);
  if (status == DW_OK) status = dw_advised_cup(book, poured->shelf, layer, &slab, volume, &cup, err);
  if (status != DW_OK) return status;
  status = cli_volume(args, "--capacity", 0.01, 2000, cup.capacity_floz, &capacity, err);
  if (status == DW_OK)
    status = dw_book_cup_begin(book, poured->batch.id, layer->id, cup.volume_floz, capacity, &id, err);
  for (size_t i = 0; i < cup.drops.n && status == DW_OK; i++)
    status = dw_book_cup_add(book, id, poured->shelf->bottle[cup.drops.part[i].bottle].id,
                             cup.drops.part[i].amount, err);
  if (status == DW_OK) status = cli_pour_temperature(args, book, id, poured, err);
  return status == DW_OK ? dw_keep_pour(book, id, poured->shelf, &poured->slab, &pour, err) : status;
}

dw_status cli_pour_advised(const cli_args *args, dw_book *book, cli_poured *poured,
                           const dw_pattern_layer *only, dw_error *err) {
  dw_status status = DW_OK;
  if (cli_has(args, "--cup") || cli_has(args, "--add") || cli_has(args, "--clear"))
    return dw_fail(err, DW_USAGE, "--advised says what is in the cup; leave out --cup, --add and --clear.");
  for (size_t i = 0; i < poured->pattern.n && status == DW_OK; i++)
    if (!only || only == &poured->pattern.layer[i])
      status = fill(args, book, poured, &poured->pattern.layer[i], err);
  return status;
}
