/* Writes predictions for km_reference.py to compute again: one line per slab, the inputs and R. */
#include "dropwise/numeric.h"
#include "mix/km.h"

#include <math.h>

int main(void) {
  dw_random random = dw_random_seed(2024);
  for (int line = 0; line < 200; line++) {
    const dw_surface surface = {0.04, 0.4 + 0.3 * dw_random_uniform(&random), dw_random_uniform(&random)};
    const dw_slab slab = {0.5 + 12 * dw_random_uniform(&random), dw_random_uniform(&random)};
    double k[DW_BANDS], s[DW_BANDS], R[DW_BANDS];
    for (int i = 0; i < DW_BANDS; i++) {
      k[i] = exp(-8 + 9 * dw_random_uniform(&random));
      s[i] = exp(-7 + 7 * dw_random_uniform(&random));
    }
    const dw__km view = dw__km_view(&surface, &slab);
    dw__km_bands(&view, k, s, R);
    printf("%.17g %.17g %.17g %.17g %.17g", surface.k1, surface.k2, surface.gap, slab.thickness_mm,
           slab.backing);
    for (int i = 0; i < DW_BANDS; i++) printf(" %.17g %.17g %.17g", k[i], s[i], R[i]);
    printf("\n");
  }
  return 0;
}
