/* Whether a measured color can be of the drops it is said to be of. docs/mixing-model.md#learn */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "pourtone/fit.h"

/* The shelf with every strength's doubt at least that of a lot nobody noted; its draws are borrowed. */
static pt_shelf *loosened(const pt_shelf *shelf, bool as_chips) {
  pt_shelf *loose = malloc(sizeof *loose);
  if (!loose) return NULL;
  *loose = *shelf;
  for (size_t b = 0; b < loose->n; b++) {
    pt_bottle *bottle = &loose->bottle[b];
    if (as_chips) bottle->strength = 1;
    bottle->strength_sd = fmax(bottle->strength_sd, PT_MISS_STRENGTH_SD);
  }
  return loose;
}

static double invented_doubt(const pt_shelf *shelf, const pt_recipe *loadings) {
  for (size_t i = 0; i < loadings->n; i++)
    if (shelf->bottle[loadings->part[i].bottle].origin == PT_ORIGIN_INVENTED) return PT_MISS_INVENTED_DE00;
  return 0;
}

static pt_status miss_of(const pt_shelf *shelf, bool as_chips, const pt_recipe *loadings, const pt_slab *slab,
                         pt_lab measured, double uncertainty_de00, pt_miss *out, pt_error *err) {
  pt_prediction predicted;
  pt_shelf *loose = loosened(shelf, as_chips);
  if (!loose) return pt_fail_memory(err, "a shelf");
  pt_status status = pt_predict(loose, loadings, slab, &predicted, err);
  free(loose);
  if (status != PT_OK) return status;
  double invented = invented_doubt(shelf, loadings);
  double doubt = sqrt(predicted.uncertainty_de00 * predicted.uncertainty_de00 + invented * invented +
                      uncertainty_de00 * uncertainty_de00 + PT_POUR_SD_DE00 * PT_POUR_SD_DE00);
  *out = (pt_miss){.de00 = pt_de00(predicted.lab, measured),
                   .limit_de00 = fmax(PT_MISS_LEAST_DE00, PT_MISS_SIGMAS * doubt)};
  out->far = out->de00 > out->limit_de00;
  return PT_OK;
}

pt_status pt_pour_miss(const pt_shelf *shelf, const pt_recipe *loadings, const pt_slab *slab, pt_lab measured,
                       double uncertainty_de00, pt_miss *out, pt_error *err) {
  pt_miss learned, chips;
  pt_status status = miss_of(shelf, false, loadings, slab, measured, uncertainty_de00, &learned, err);
  if (status == PT_OK) status = miss_of(shelf, true, loadings, slab, measured, uncertainty_de00, &chips, err);
  if (status != PT_OK) return status;
  bool as_chips = chips.far == learned.far ? chips.de00 < learned.de00 : learned.far;
  *out = as_chips ? chips : learned;
  return PT_OK;
}

void pt_miss_words(double de00, char *out, size_t room) {
  snprintf(
      out, room,
      "This is nowhere near what those drops give (%.0f off): right photo? marks on the bait? right drops?",
      de00);
}
