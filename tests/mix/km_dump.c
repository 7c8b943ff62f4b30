/* Writes predictions for km_reference.py to compute again: one line per slab, the inputs and R. */
#include "mix/km.h"
#include "pourtone/numeric.h"

#include <math.h>

int main(void) {
  pt_random random = pt_random_seed(2024);
  for (int line = 0; line < 200; line++) {
    const pt_surface surface = {0.04, 0.4 + 0.3 * pt_random_uniform(&random), pt_random_uniform(&random)};
    const pt_slab slab = {0.5 + 12 * pt_random_uniform(&random), pt_random_uniform(&random)};
    double k[PT_BANDS], s[PT_BANDS], R[PT_BANDS];
    for (int i = 0; i < PT_BANDS; i++) {
      k[i] = exp(-8 + 9 * pt_random_uniform(&random));
      s[i] = exp(-7 + 7 * pt_random_uniform(&random));
    }
    const pt__km view = pt__km_view(&surface, &slab);
    pt__km_bands(&view, k, s, R);
    printf("%.17g %.17g %.17g %.17g %.17g", surface.k1, surface.k2, surface.gap, slab.thickness_mm,
           slab.backing);
    for (int i = 0; i < PT_BANDS; i++) printf(" %.17g %.17g %.17g", k[i], s[i], R[i]);
    printf("\n");
  }
  return 0;
}
