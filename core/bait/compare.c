/* What differs between the baits of one photo. */
#include "dropwise/bait.h"

#include "dropwise/numeric.h"

#include <math.h>

/* A bait is the odd one where it lies so many times the usual distance from the others' mean, and at least so
 * far, CIEDE2000. */
#define ODD_TIMES 2.5
#define ODD_LEAST 1.0

size_t dw_bait_layers_usual(const size_t count[DW_BAIT_LAYERS_MAX + 1]) {
  size_t best = 0;
  for (size_t n = 1; n <= DW_BAIT_LAYERS_MAX; n++)
    if (count[n] > count[best]) best = n;
  return best;
}

static size_t usual_layers(const dw_baits *baits) {
  size_t count[DW_BAIT_LAYERS_MAX + 1] = {0};
  for (size_t i = 0; i < baits->n; i++) count[baits->bait[i].n]++;
  return dw_bait_layers_usual(count);
}

/* Mean Lab of one layer, without one bait. */
static dw_lab mean_without(const dw_bait *const *bait, size_t n, size_t layer, size_t without) {
  dw_lab sum = {0};
  double count = 0;
  for (size_t i = 0; i < n; i++) {
    if (i == without) continue;
    dw_lab lab = bait[i]->layer[layer].reading.lab;
    sum.L += lab.L, sum.a += lab.a, sum.b += lab.b;
    count++;
  }
  return (dw_lab){sum.L / count, sum.a / count, sum.b / count};
}

static void layer_compare(const dw_baits *baits, const dw_bait *const *bait, size_t n, size_t l,
                          dw_baits_spread *out) {
  double away[DW_BAITS_MAX], share[DW_BAITS_MAX], sorted[DW_BAITS_MAX];
  size_t far = 0;
  out->layer[l].mean = mean_without(bait, n, l, n);
  out->layer[l].odd = DW_BAITS_MAX;
  for (size_t i = 0; i < n; i++) {
    away[i] = sorted[i] = dw_de00(bait[i]->layer[l].reading.lab, out->layer[l].mean);
    share[i] = bait[i]->layer[l].share;
    if (away[i] > away[far]) far = i;
  }
  out->layer[l].spread_de00 = dw_median(sorted, n);
  out->layer[l].share = dw_mean(share, n);
  out->layer[l].share_deviation = dw_stddev(share, n);
  double odd = dw_de00(bait[far]->layer[l].reading.lab, mean_without(bait, n, l, far));
  if (n < 3 || odd < ODD_LEAST || odd < ODD_TIMES * out->layer[l].spread_de00) return;
  out->layer[l].odd = (size_t)(bait[far] - baits->bait);
  out->layer[l].odd_de00 = odd;
}

bool dw_baits_compare(const dw_baits *baits, dw_baits_spread *out) {
  const dw_bait *bait[DW_BAITS_MAX];
  dw_baits_spread result = {.layers = usual_layers(baits)};
  for (size_t i = 0; i < baits->n; i++)
    if (baits->bait[i].n == result.layers) bait[result.baits++] = &baits->bait[i];
  if (result.baits < 2) return false;
  for (size_t l = 0; l < result.layers; l++) layer_compare(baits, bait, result.baits, l, &result);
  *out = result;
  return true;
}
