/* Cups filled as advised, so that nobody types a recipe again. */
#include "app/cli/pour.h"
#include "app/history.h"

#include <math.h>

static pt_status fill(const cli_args *args, pt_book *book, cli_poured *poured, const pt_pattern_layer *layer,
                      pt_error *err) {
  pt_cup cup;
  int64_t id, pour;
  double volume, capacity;
  pt_slab slab = {isnan(poured->slab.thickness_mm) ? 10 : poured->slab.thickness_mm,
                  isnan(poured->slab.backing) ? PT_BACKING_GRAY : poured->slab.backing};
  pt_status status = cli_volume(args, "--volume", 0.01, 1000, 0, &volume, err);
  if (status == PT_OK) status = pt__advised_cup(book, poured->shelf, layer, &slab, volume, &cup, err);
  if (status != PT_OK) return status;
  status = cli_volume(args, "--capacity", 0.01, 2000, cup.capacity_floz, &capacity, err);
  if (status == PT_OK)
    status = pt_book_cup_begin(book, poured->batch.id, layer->id, cup.volume_floz, capacity, &id, err);
  for (size_t i = 0; i < cup.drops.n && status == PT_OK; i++)
    status = pt_book_cup_add(book, id, poured->shelf->bottle[cup.drops.part[i].bottle].id,
                             cup.drops.part[i].amount, err);
  if (status == PT_OK) status = cli_pour_temperature(args, book, id, poured, err);
  return status == PT_OK ? pt__keep_pour(book, id, poured->shelf, &poured->slab, &pour, err) : status;
}

pt_status cli_pour_advised(const cli_args *args, pt_book *book, cli_poured *poured,
                           const pt_pattern_layer *only, pt_error *err) {
  pt_status status = PT_OK;
  if (cli_has(args, "--cup") || cli_has(args, "--add") || cli_has(args, "--clear"))
    return pt_fail(err, PT_USAGE, "--advised says what is in the cup; leave out --cup, --add and --clear.");
  for (size_t i = 0; i < poured->pattern.n && status == PT_OK; i++)
    if (!only || only == &poured->pattern.layer[i])
      status = fill(args, book, poured, &poured->pattern.layer[i], err);
  return status;
}
