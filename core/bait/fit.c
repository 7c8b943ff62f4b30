/* Fitting plateaus and blends to a profile.
 *
 * The profile is a sum of the layers' colors, each by its weight; between two layers the weights change as a
 * smooth step of some width. Two plastics mix on a straight line in K/S, not in color (Kubelka and Munk 1931:
 * yellow and blue make green), and the one that scatters more is the stronger: so a blend's color bends off
 * the line between its layers by what K/S says, and its weight is skewed by one ratio. The rounding of the
 * body shades the profile by a smooth function, and toward both edges, where it is thin, the board shines
 * through or it darkens. Given borders, widths and ratios, what is left is linear (variable projection, Golub
 * and Pereyra 1973); they are found by Levenberg-Marquardt. A further layer must earn its place. */
#include "bait/model.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <string.h>

enum { ROUNDS = 10, STEPS = 3 };
/* A round that changes the sum of squares by less than this share is the last. */
#define RESTS 1e-2

/* The least share of a layer between two, and of one at an edge. */
#define SHARE_LEAST 0.08
#define OUTER_LEAST 0.10

/* Borders in order, layers not too thin, blends no wider than what they join. */
static bool allowed(const dw__model *p, const double *free) {
  size_t borders = p->layers - 1;
  for (size_t k = 0; k < borders; k++) {
    double above = free[k] - (k ? free[k - 1] : 0), below = (k + 1 < borders ? free[k + 1] : 1) - free[k];
    double half = exp(free[borders + k]);
    if (above < (k ? SHARE_LEAST : OUTER_LEAST) || below < (k + 1 < borders ? SHARE_LEAST : OUTER_LEAST))
      return false;
    if (fabs(free[2 * borders + k]) > 2.5) return false;
    if (half > .95 * fmin(above * (k ? 1 : 2), below * (k + 1 < borders ? 1 : 2)) || half > .4) return false;
  }
  return true;
}

/* One Levenberg-Marquardt step from where it was solved last; false where nothing betters it. */
static bool step(dw__model *p, double *free, double *best, double *damping) {
  double normal[DW__FREE_MAX * DW__FREE_MAX], right[DW__FREE_MAX], next[DW__FREE_MAX];
  double before[DW__OWN_MAX];
  size_t n = 3 * (p->layers - 1);
  if (!dw__model_slopes(p, free, normal, right)) return false;
  memcpy(before, p->coefficient, sizeof before);
  for (int attempt = 0; attempt < 6; attempt++, *damping *= 6) {
    double damped[DW__FREE_MAX * DW__FREE_MAX], move[DW__FREE_MAX];
    memcpy(damped, normal, n * n * sizeof *damped);
    memcpy(move, right, n * sizeof *move);
    for (size_t i = 0; i < n; i++) damped[i * n + i] *= 1 + *damping;
    if (dw_cholesky(damped, n, NULL) != DW_OK) continue;
    dw_cholesky_solve(damped, n, move, 1);
    for (size_t i = 0; i < n; i++) next[i] = free[i] + move[i];
    if (!allowed(p, next)) continue;
    double sum = dw__model_solve(p, next);
    if (!(sum < *best)) continue;
    bool far = *best - sum > 1e-3 * *best;
    memcpy(free, next, n * sizeof *next);
    *best = sum;
    *damping = fmax(*damping / 8, 1e-4);
    return far;
  }
  memcpy(p->coefficient, before, sizeof before);
  return false;
}

/* Sums of squares of the profile about its mean between two places. */
static double within(double sum[DW__ACROSS + 1][4], size_t from, size_t to) {
  double n = (double)(to - from), out = sum[to][3] - sum[from][3];
  for (int k = 0; k < 3; k++) out -= pow(sum[to][k] - sum[from][k], 2) / n;
  return out;
}

/* The best cut of the profile into flat parts, by dynamic programming.  Edges are taken to be as what is
 * beside them. */
static void cut(const dw__strip *strip, size_t layers, double *border) {
  enum { INNER = 3, OUTER = 5, RIM = 4 };
  double sum[DW__ACROSS + 1][4] = {{0}}, cost[DW_BAIT_LAYERS_MAX + 1][DW__ACROSS + 1];
  size_t from[DW_BAIT_LAYERS_MAX + 1][DW__ACROSS + 1] = {{0}};
  for (size_t j = 0; j < DW__ACROSS; j++)
    for (int k = 0; k < 4; k++) {
      const double *c = strip->profile[j < RIM ? RIM : j >= DW__ACROSS - RIM ? DW__ACROSS - RIM - 1 : j];
      double v[3] = {.7 * c[0], c[1], c[2]};
      sum[j + 1][k] = sum[j][k] + (k < 3 ? v[k] : v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
    }
  for (size_t to = 0; to <= DW__ACROSS; to++) cost[1][to] = to >= OUTER ? within(sum, 0, to) : INFINITY;
  for (size_t l = 2; l <= layers; l++)
    for (size_t to = 0; to <= DW__ACROSS; to++) {
      cost[l][to] = INFINITY;
      for (size_t at = OUTER; at + (l == layers ? OUTER : INNER) <= to; at++) {
        double c = cost[l - 1][at] + within(sum, at, to);
        if (c < cost[l][to]) cost[l][to] = c, from[l][to] = at;
      }
    }
  for (size_t l = layers, to = DW__ACROSS; l > 1; l--) {
    to = from[l][to];
    border[l - 2] = (double)to / DW__ACROSS;
  }
}

static void keep(const dw__model *p, const double *free, double score, dw__layers *out) {
  size_t borders = p->layers - 1, per = 2 * p->layers - 1;
  *out = (dw__layers){.n = p->layers, .score = score};
  for (size_t k = 0; k < borders; k++)
    out->border[k] = free[k], out->half[k] = fmax(exp(free[borders + k]), p->thinnest);
  for (size_t l = 0; l < p->layers; l++)
    for (size_t k = 0; k < 3; k++) out->color[l][k] = p->coefficient[k * per + l];
}

void dw__fit_number(const dw__strip *strip, size_t layers, double thinnest, double unexplained,
                    dw__layers *out) {
  static const double begin[] = {.03, .10};
  dw__model p;
  dw__model_make(strip, layers, thinnest, unexplained, &p);
  *out = (dw__layers){.n = layers, .score = INFINITY};
  size_t borders = layers - 1;
  for (int b = 0; b < (layers > 1 ? 2 : 1); b++) {
    double free[DW__FREE_MAX] = {0}, damping = 1e-2;
    cut(strip, layers, free);
    for (size_t k = 0; k < borders; k++) {
      double room = fmin(free[k] - (k ? free[k - 1] : 0), (k + 1 < borders ? free[k + 1] : 1) - free[k]);
      free[borders + k] = log(fmax(fmin(begin[b], .9 * room), thinnest));
    }
    for (size_t k = 0; k < borders; k++) free[2 * borders + k] = 0;
    if (!allowed(&p, free)) continue;
    memset(p.bend, 0, sizeof p.bend);
    double best = dw__model_solve(&p, free), last = INFINITY;
    for (int round = 0; round < ROUNDS && layers > 1; round++) {
      for (size_t k = 0; k < borders; k++) dw__model_bend(&p, k);
      best = dw__model_solve(&p, free);
      for (int i = 0; i < STEPS && step(&p, free, &best, &damping); i++) continue;
      if (best < out->score) keep(&p, free, best, out); /* the rounds need not come to rest */
      if (fabs(last - best) < RESTS * best) break;
      last = best;
    }
    if (layers == 1) keep(&p, free, best, out);
  }
}
