/* How many layers a body has, and where they lie along it. */
#include "bait/layers.h"

#include "bait/fit.h"
#include "dropwise/numeric.h"

#include <math.h>

enum { ACROSS = DW_BAIT_PROFILE };

/* What the model leaves unexplained of any real profile: so much, and such a share of the largest difference
 * in it, about CIEDE2000. */
#define MODEL_NOISE 0.5
#define MODEL_SHARE 0.015
/* It differs from its neighbors by so much, CIEDE2000. */
#define APART_LEAST 3.0
/* And as it is seen in its middle, with what shading and gloss make of it. */
#define APART_SEEN 1.5
/* A middle layer slimmer than this is flat over at least so much of its share. */
#define SLIM_SHARE 0.12
#define SLIM_FLAT 0.25
/* An outer layer thinner than this may be the board shining through, unless its color lies so far off. */
#define THROUGH_SHARE 0.2
#define THROUGH_OFF 5.0
/* What one more layer must better the sum of squares by. */
#define LAYER_PRICE 30.0
/* And besides where an outer layer may be its neighbor thinning out. */
#define THROUGH_PRICE 60.0
/* What it may be worse by with the number of layers that baits of the same colors have. */
#define USUAL_PRICE 60.0
/* Borders that run so far off straight are straightened before layers are fitted again, share of the height. */
#define SWAY_LEAST 0.02

/* The largest difference within the profile, about CIEDE2000. */
static double contrast_of(const dw__strip *strip) {
  double most = 0;
  const double(*c)[3] = (const double(*)[3])strip->profile;
  for (size_t i = 4; i < ACROSS - 4; i += 2)
    for (size_t j = 4; j < i; j += 2)
      most = fmax(most, dw_de00((dw_lab){c[i][0], c[i][1], c[i][2]}, (dw_lab){c[j][0], c[j][1], c[j][2]}));
  return most;
}

/* A thin outer layer whose color is its neighbor's, mixed with the board's and shaded, is that neighbor
 * thinning out. */
static bool shines_through(const dw__strip *strip, const dw__layers *f, size_t outer, size_t inner,
                           double share) {
  double normal[4] = {0}, part[2] = {0}, way[3][2], off = 0;
  for (int k = 0; k < 3; k++) {
    way[k][0] = strip->board[k] - f->color[inner][k];
    way[k][1] = f->color[inner][k] + (k == 0 ? 16 : 0);
    for (int i = 0; i < 2; i++) {
      part[i] += way[k][i] * (f->color[outer][k] - f->color[inner][k]);
      for (int j = 0; j < 2; j++) normal[2 * i + j] += way[k][i] * way[k][j] + (i == j);
    }
  }
  if (share >= THROUGH_SHARE || dw_cholesky(normal, 2, NULL) != DW_OK) return false;
  dw_cholesky_solve(normal, 2, part, 1);
  for (int k = 0; k < 3; k++)
    off += pow(f->color[outer][k] - f->color[inner][k] - part[0] * way[k][0] - part[1] * way[k][1], 2);
  return part[0] > 0 && part[0] < 1 && fabs(part[1]) < .35 && sqrt(off) < THROUGH_OFF;
}

dw_lab dw__layers_seen(const dw__strip *strip, const dw__layers *f, size_t l) {
  double top = l ? f->border[l - 1] : 0, bottom = l + 1 < f->n ? f->border[l] : 1;
  const double *c = strip->profile[(size_t)((top + bottom) / 2 * ACROSS)];
  return (dw_lab){c[0], c[1], c[2]};
}

/* Layers differ from their neighbors, and are neither a blend nor an edge taken for one. */
static bool layers_differ(const dw__strip *strip, const dw__layers *f) {
  size_t n = f->n;
  for (size_t k = 0; k + 1 < n; k++) {
    dw_lab p = {f->color[k][0], f->color[k][1], f->color[k][2]},
           q = {f->color[k + 1][0], f->color[k + 1][1], f->color[k + 1][2]};
    if (dw_de00(p, q) < APART_LEAST ||
        dw_de00(dw__layers_seen(strip, f, k), dw__layers_seen(strip, f, k + 1)) < APART_SEEN)
      return false;
  }
  for (size_t k = 1; k + 1 < n; k++) {
    double share = f->border[k] - f->border[k - 1];
    if (share < SLIM_SHARE && share - f->half[k - 1] - f->half[k] < SLIM_FLAT * share) return false;
  }
  return true;
}

/* What so many layers cost beside what they leave unexplained. */
static double price_of(const dw__strip *strip, const dw__layers *f) {
  size_t n = f->n, through = 0;
  if (n > 1)
    through = (size_t)shines_through(strip, f, 0, 1, f->border[0]) +
              shines_through(strip, f, n - 1, n - 2, 1 - f->border[n - 2]);
  return LAYER_PRICE * (double)(n - 1) + THROUGH_PRICE * (double)through;
}

/* Where a border lies in a profile near where it was found: the area left of it. */
static double border_in(double (*profile)[3], const dw__layers *f, size_t k) {
  double low = fmax(f->border[k] - f->half[k] - .08, 0), high = fmin(f->border[k] + f->half[k] + .08, 1),
         area = 0, n = 0;
  double d[3], dd = 0;
  for (int c = 0; c < 3; c++) d[c] = f->color[k + 1][c] - f->color[k][c], dd += d[c] * d[c];
  for (size_t j = 0; j < ACROSS; j++) {
    double t = ((double)j + .5) / ACROSS, past = 0;
    if (t < low || t > high) continue;
    for (int c = 0; c < 3; c++) past += d[c] * (profile[j][c] - f->color[k][c]);
    area += 1 - fmin(fmax(past / dd, -.2), 1.2);
    n++;
  }
  return n > 0 ? low + (high - low) * area / n : f->border[k];
}

/* Where each border lies along the body, against its mean. */
static void offsets(const dw__strip *strip, dw__layers *f) {
  for (size_t k = 0; k + 1 < f->n; k++) {
    double whole = border_in((double(*)[3])strip->profile, f, k), mean = 0;
    for (size_t w = 0; w < DW__WINDOWS; w++) {
      f->offset[w][k] =
          border_in((double(*)[3])strip->window[w], f, k) - whole + dw__strip_moved(strip, w, f->border[k]);
      mean += f->offset[w][k] / DW__WINDOWS;
    }
    f->border[k] += mean;
    for (size_t w = 0; w < DW__WINDOWS; w++) f->offset[w][k] -= mean;
  }
}

static double unexplained_in(const dw__strip *strip) {
  return hypot(MODEL_NOISE, MODEL_SHARE * contrast_of(strip));
}

bool dw__layers_as(const dw__strip *strip, size_t n, double thinnest, const dw__layers *now,
                   dw__layers *out) {
  dw__fit_number(strip, n, thinnest, unexplained_in(strip), out);
  if (!isfinite(out->score) || !layers_differ(strip, out)) return false;
  out->score += price_of(strip, out);
  if (out->score > now->score + USUAL_PRICE) return false;
  offsets(strip, out);
  return true;
}

/* The best number of layers, and their fit. */
static void number_find(const dw__strip *strip, size_t layers, double thinnest, dw__layers *out) {
  dw__layers best = {.score = INFINITY}, one;
  double unexplained = unexplained_in(strip);
  for (size_t n = layers ? layers : 1; n <= (layers ? layers : DW_BAIT_LAYERS_MAX); n++) {
    if (best.score <= LAYER_PRICE * (double)(n - 1)) break; /* no fit could be better */
    dw__fit_number(strip, n, thinnest, unexplained, &one);
    if (!isfinite(one.score) || (!layers && !layers_differ(strip, &one))) continue;
    one.score += price_of(strip, &one);
    if (one.score < best.score) best = one;
  }
  if (!isfinite(best.score)) dw__fit_number(strip, 1, thinnest, unexplained, &best);
  *out = best;
}

/* Whether a border lies so far off its mean somewhere that the profile is blurred by it. */
static bool sways(const dw__layers *f) {
  for (size_t k = 0; k + 1 < f->n; k++)
    for (size_t w = 0; w < DW__WINDOWS; w++)
      if (fabs(f->offset[w][k]) > SWAY_LEAST) return true;
  return false;
}

void dw__layers_fit(dw__strip *strip, size_t layers, double thinnest, dw__layers *out) {
  number_find(strip, layers, thinnest, out);
  offsets(strip, out);
  if (!sways(out)) return;
  dw__strip_straighten(strip, out->n - 1, out->border, out->offset);
  number_find(strip, layers, thinnest, out);
  offsets(strip, out);
}
