/* Baits of one shot come of the same cups: where a bait's own profile hardly decides how many layers it has, those that
 * lie beside it and have its colors do. */
#include "bait/agree.h"

#include <math.h>

/* So many baits with the same colors, and such a share of all, tell what the shot is. */
enum { SHOT_LEAST = 3 };
#define SHOT_SHARE 0.4
/* Colors in the middles of layers are the same within so much in the mean, CIEDE2000. */
#define ALIKE_MOST 12.0

/* How far the layers of two baits lie apart in the mean, in the order in which they are nearer. */
static double apart(const dw__strip *s, const dw__layers *a, const dw__strip *t, const dw__layers *b) {
  double same = 0, turned = 0;
  if (a->n != b->n) return INFINITY;
  for (size_t l = 0; l < a->n; l++) {
    dw_lab own = dw__layers_seen(s, a, l);
    same += dw_de00(own, dw__layers_seen(t, b, l));
    turned += dw_de00(own, dw__layers_seen(t, b, a->n - 1 - l));
  }
  return fmin(same, turned) / (double)a->n;
}

/* The bait that most have the colors of; n where those are too few. */
static size_t usual(const dw__of_shot *bait, size_t n) {
  size_t best = n, most = 0;
  for (size_t i = 0; i < n; i++) {
    size_t alike = 0;
    for (size_t k = 0; k < n; k++)
      alike += apart(bait[i].strip, bait[i].layers, bait[k].strip, bait[k].layers) <= ALIKE_MOST;
    if (alike > most) most = alike, best = i;
  }
  return most >= SHOT_LEAST && (double)most >= SHOT_SHARE * (double)n ? best : n;
}

void dw__layers_agree(const dw__of_shot *bait, size_t n) {
  const size_t like = usual(bait, n);
  for (size_t i = 0; i < n && like < n; i++) {
    dw__layers other;
    if (bait[i].layers->n == bait[like].layers->n) continue;
    if (!dw__layers_as(bait[i].strip, bait[like].layers->n, bait[i].thinnest, bait[i].layers, &other))
      continue;
    if (apart(bait[i].strip, &other, bait[like].strip, bait[like].layers) > ALIKE_MOST) continue;
    *bait[i].layers = other;
  }
}
