/* Whether a measured color can be of the drops it is said to be of. docs/mixing-model.md#learn */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "dropwise/fit.h"

/* The shelf with every strength's doubt at least that of a lot nobody noted; its draws are borrowed. */
static dw_shelf *loosened(const dw_shelf *shelf, bool as_chips) {
  dw_shelf *loose = malloc(sizeof *loose);
  if (!loose) return NULL;
  *loose = *shelf;
  for (size_t b = 0; b < loose->n; b++) {
    dw_bottle *bottle = &loose->bottle[b];
    if (as_chips) bottle->strength = 1;
    bottle->strength_sd = fmax(bottle->strength_sd, DW_MISS_STRENGTH_SD);
  }
  return loose;
}

static double invented_doubt(const dw_shelf *shelf, const dw_recipe *loadings) {
  for (size_t i = 0; i < loadings->n; i++)
    if (shelf->bottle[loadings->part[i].bottle].origin == DW_ORIGIN_INVENTED) return DW_MISS_INVENTED_DE00;
  return 0;
}

static dw_status miss_of(const dw_shelf *shelf, bool as_chips, const dw_recipe *loadings, const dw_slab *slab,
                         dw_lab measured, double uncertainty_de00, dw_miss *out, dw_error *err) {
  dw_prediction predicted;
  dw_shelf *loose = loosened(shelf, as_chips);
  if (!loose) return dw_fail_memory(err, "a shelf");
  dw_status status = dw_predict(loose, loadings, slab, &predicted, err);
  free(loose);
  if (status != DW_OK) return status;
  double invented = invented_doubt(shelf, loadings);
  double doubt = sqrt(predicted.uncertainty_de00 * predicted.uncertainty_de00 + invented * invented +
                      uncertainty_de00 * uncertainty_de00 + DW_POUR_SD_DE00 * DW_POUR_SD_DE00);
  *out = (dw_miss){.de00 = dw_de00(predicted.lab, measured),
                   .limit_de00 = fmax(DW_MISS_LEAST_DE00, DW_MISS_SIGMAS * doubt)};
  out->far = out->de00 > out->limit_de00;
  return DW_OK;
}

dw_status dw_pour_miss(const dw_shelf *shelf, const dw_recipe *loadings, const dw_slab *slab, dw_lab measured,
                       double uncertainty_de00, dw_miss *out, dw_error *err) {
  dw_miss learned, chips;
  dw_status status = miss_of(shelf, false, loadings, slab, measured, uncertainty_de00, &learned, err);
  if (status == DW_OK) status = miss_of(shelf, true, loadings, slab, measured, uncertainty_de00, &chips, err);
  if (status != DW_OK) return status;
  bool as_chips = chips.far == learned.far ? chips.de00 < learned.de00 : learned.far;
  *out = as_chips ? chips : learned;
  return DW_OK;
}

void dw_miss_words(double de00, char *out, size_t room) {
  snprintf(
      out, room,
      "This is nowhere near what those drops give (%.0f off): right photo? marks on the bait? right drops?",
      de00);
}
