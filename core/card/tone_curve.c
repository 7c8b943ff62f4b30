/* Tone curves from the gray ramp: per channel a monotone piecewise cubic Hermite between square roots, which
 * are nearly even to the eye. */
#include "card/fit.h"

#include <math.h>

/* Grays nearer than this, in sqrt of reflectance, share a knot; it also bounds the knots below DW_CURVE_MAX.
 */
#define KNOT_APART 0.045
#define VALUE_APART 1e-4

typedef struct knot {
  double x, y, count;
} knot;

static void knots_sort(knot *k, size_t n) {
  for (size_t i = 1; i < n; i++) {
    knot moving = k[i];
    size_t j = i;
    for (; j > 0 && k[j - 1].y > moving.y; j--) k[j] = k[j - 1];
    k[j] = moving;
  }
}

static bool knots_apart(const knot *low, const knot *high) {
  return high->y - low->y >= KNOT_APART && high->x - low->x >= VALUE_APART;
}

/* Pools neighbors that are too close or out of order (pool adjacent violators); returns how many remain. */
static size_t knots_pool(knot *k, size_t n) {
  size_t top = 0;
  for (size_t i = 0; i < n; i++) {
    k[top++] = k[i];
    while (top > 1 && !knots_apart(&k[top - 2], &k[top - 1])) {
      knot *a = &k[top - 2], *b = &k[top - 1];
      double count = a->count + b->count;
      *a = (knot){(a->x * a->count + b->x * b->count) / count, (a->y * a->count + b->y * b->count) / count,
                  count};
      top--;
    }
  }
  return top;
}

/* The gray's own channel values, so that a slightly tinted gray does not tint the curve. */
static size_t knots_gather(const dw__sample *s, size_t n, const double field[2], size_t channel, knot *k) {
  size_t count = 0;
  for (size_t i = 0; i < n; i++) {
    if (!s[i].gray) continue;
    double linear[3];
    dw_linear_from_xyz(s[i].xyz, linear);
    k[count++] = (knot){dw__signed_root(s[i].rgb[channel]),
                        sqrt(fmax(linear[channel], 0.0) * dw__field_gain(field, s[i].place)), 1.0};
  }
  return count;
}

/* Beyond white and black the curve goes on as straight as its end intervals: three-point end slopes swing too
 * far there. A slope equal to the secant keeps the interval monotone. */
static void ends_straighten(dw_curve *curve) {
  const size_t last = curve->n - 1;
  curve->slope[0] = (curve->y[1] - curve->y[0]) / (curve->x[1] - curve->x[0]);
  curve->slope[last] = (curve->y[last] - curve->y[last - 1]) / (curve->x[last] - curve->x[last - 1]);
}

dw_status dw__bend_fit(const dw__sample *s, size_t n, const double field[2], dw_curve curve[3],
                       dw_error *err) {
  knot k[DW_CARD_PATCHES_MAX];
  double x[DW_CURVE_MAX], y[DW_CURVE_MAX];
  dw_status status = DW_OK;
  for (size_t c = 0; c < 3 && status == DW_OK; c++) {
    size_t count = knots_gather(s, n, field, c, k);
    knots_sort(k, count);
    count = knots_pool(k, count);
    if (count < 3 || count > DW_CURVE_MAX)
      return dw_fail(
          err, DW_REFUSED,
          "The card's grays give only %zu distinct steps and 3 are needed: the photo is too dark, too "
          "bright or too flat.",
          count);
    for (size_t i = 0; i < count; i++) {
      x[i] = k[i].x;
      y[i] = k[i].y;
    }
    status = dw_curve_fit(x, y, count, &curve[c], err);
    if (status == DW_OK) ends_straighten(&curve[c]);
  }
  return status;
}
