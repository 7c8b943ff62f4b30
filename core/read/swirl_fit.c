/* A mixture of colors, of the ways between them and to gloss, and of a little of everything else (specks), fitted by
 * expectation and maximization (Dempster, Laird, Rubin, J. Roy. Stat. Soc. B 39 (1977) 1).
 *
 * A color is a normal distribution in Lab: narrow, but for shade, which moves it toward black.  A way is even over the
 * blends of two colors by volume, which lie nearer to the stronger color.  How strong each is can't be seen: with even
 * scattering K/S adds by volume, and a little black is soon all; where the light color scatters most, reflectance itself
 * nearly does.  Its logarithm lies between and is taken; a blend's share is read off it.  From each color another way leads toward the light's own color, which the surface mirrors (Shafer, Color
 * Res. Appl. 10 (1985) 210): a glossy place has the color that the way comes from. */
#include "read/swirl_fit.h"

#include "dropwise/color.h"
#include "dropwise/numeric.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

enum {
  STARTS = 10,
  STEPS_TRY = 10,
  STEPS = 40,
  SPREAD_STEPS = 6,
  WAYS_MAX = DW__SWIRL_WAYS_MAX,
  NODES = DW__SWIRL_NODES
};
typedef dw__swirl_ready ready;

/* Deviations in Lab: no color is surer than FLOOR; SHADED by shade, WIDEST across that at most. */
#define FLOOR 0.4
#define SHADED 5.0
#define WIDEST 1.6
/* Scatter about a way of NODES places, and of half the step between two of them. */
#define ACROSS 1.2
/* Gloss leads so far: this share of a perfect white's light. */
#define GLOSS_SHARE 0.15
#define GLOSS_MOST 0.1
/* Everything else is even over this many units of Lab, cubed. */
#define ANYWHERE (100.0 * 80 * 80)
#define DARKEST 0.001 /* X, Y or Z that is told from black */
#define ROOT_2_PI 2.50662827463100050242

/* Ways between two colors come first, then of three colors their blends, then one from each color to its gloss. */
static size_t pairs_of(size_t k) {
  return k * (k - 1) / 2;
}

static size_t blends_of(size_t k) {
  return pairs_of(k) + (k == 3);
}

static size_t ways_of(size_t k) {
  return blends_of(k) + k;
}

/* Lab of the color under `light` times its light, with `mirrored` of a white's over it. */
static void seen_as(const double lab[3], double light, double mirrored, double out[3]) {
  dw_xyz c = dw_xyz_from_lab((dw_lab){lab[0], lab[1], lab[2]});
  dw_lab l = dw_lab_from_xyz((dw_xyz){light * c.X + mirrored * DW_D50_X, light * c.Y + mirrored * DW_D50_Y,
                                      light * c.Z + mirrored * DW_D50_Z});
  out[0] = l.L, out[1] = l.a, out[2] = l.b;
}

/* What parts of k colors make. */
static void blend_of(const dw__swirl_fit *fit, const double *part, double out[3]) {
  double sum[3] = {0};
  for (size_t c = 0; c < fit->k; c++) {
    dw_xyz p = dw_xyz_from_lab((dw_lab){fit->center[c][0], fit->center[c][1], fit->center[c][2]});
    sum[0] += part[c] * log(fmax(p.X, DARKEST)), sum[1] += part[c] * log(fmax(p.Y, DARKEST));
    sum[2] += part[c] * log(fmax(p.Z, DARKEST));
  }
  dw_lab lab = dw_lab_from_xyz((dw_xyz){exp(sum[0]), exp(sum[1]), exp(sum[2])});
  out[0] = lab.L, out[1] = lab.a, out[2] = lab.b;
}

/* What is in node j of way w. */
static void parts_of(size_t k, size_t w, size_t j, double part[DW_SWIRL_COLORS_MAX]) {
  static const double of_three[NODES][3] = {{.34, .33, .33}, {.6, .2, .2},   {.2, .6, .2},   {.2, .2, .6},
                                            {.45, .45, .1},  {.45, .1, .45}, {.1, .45, .45}, {.33, .34, .33}};
  double share = ((double)j + 1) / (NODES + 1);
  size_t from = w == 2 ? 1 : 0, to = w == 0 ? 1 : 2;
  for (size_t c = 0; c < DW_SWIRL_COLORS_MAX; c++) part[c] = 0;
  if (w >= blends_of(k))
    part[w - blends_of(k)] = 1;
  else if (w >= pairs_of(k))
    memcpy(part, of_three[j], sizeof of_three[j]);
  else
    part[from] = 1 - share, part[to] = share;
}

static void way_make(ready *r, size_t w) {
  size_t k = r->fit->k;
  bool gloss = w >= blends_of(k), three = !gloss && w >= pairs_of(k);
  const double *before = NULL;
  for (size_t j = 0; j < NODES; j++) {
    double *at = r->node[w][j], step = 0;
    parts_of(k, w, j, r->part[w][j]);
    if (gloss)
      seen_as(r->fit->center[w - blends_of(k)], 1, GLOSS_SHARE * ((double)j + 1) / NODES, at);
    else
      blend_of(r->fit, r->part[w][j], at);
    for (int i = 0; i < 3 && before && !three; i++) step += (at[i] - before[i]) * (at[i] - before[i]);
    r->narrow[w][j] = 1 / (ACROSS * ACROSS * (three ? 4 : 1) + step / 4);
    before = at;
  }
}

static void invert(const double m[9], double out[9], double *root_det) {
  double low[9], one[9] = {1, 0, 0, 0, 1, 0, 0, 0, 1};
  memcpy(low, m, sizeof low);
  if (dw_cholesky(low, 3, NULL) != DW_OK) { /* cannot be: the floor stands on the diagonal */
    for (int i = 0; i < 9; i++) out[i] = i % 4 ? 0 : 1 / (FLOOR * FLOOR);
    *root_det = FLOOR * FLOOR * FLOOR;
    return;
  }
  *root_det = low[0] * low[4] * low[8];
  dw_cholesky_solve(low, 3, one, 3);
  memcpy(out, one, sizeof one);
}

void dw__swirl_ready_make(const dw__swirl_fit *fit, ready *out) {
  out->fit = fit;
  for (size_t c = 0; c < fit->k; c++) {
    double root_det;
    invert(fit->cov[c], out->inverse[c], &root_det);
    out->scale[c] = 1 / (ROOT_2_PI * ROOT_2_PI * ROOT_2_PI * root_det);
  }
  for (size_t w = 0; w < ways_of(fit->k); w++) way_make(out, w);
}

static double pure_density(const ready *r, size_t c, const float lab[3]) {
  double d[3], sum = 0;
  for (int i = 0; i < 3; i++) d[i] = (double)lab[i] - r->fit->center[c][i];
  for (int i = 0; i < 9; i++) sum += d[i / 3] * d[i % 3] * r->inverse[c][i];
  return r->scale[c] * exp(-.5 * sum);
}

/* part  what is in a place that lies on the way */
static double way_density(const ready *r, size_t w, const float lab[3], double part[DW_SWIRL_COLORS_MAX]) {
  double sum = 0, parts[DW_SWIRL_COLORS_MAX] = {0};
  for (size_t j = 0; j < NODES; j++) {
    double square = 0, narrow = r->narrow[w][j];
    for (int i = 0; i < 3; i++)
      square += ((double)lab[i] - r->node[w][j][i]) * ((double)lab[i] - r->node[w][j][i]);
    if (square * narrow > 50) continue; /* nothing beside the rest */
    double density = narrow * sqrt(narrow) * exp(-.5 * square * narrow);
    sum += density;
    for (size_t c = 0; c < r->fit->k; c++) parts[c] += density * r->part[w][j][c];
  }
  for (size_t c = 0; c < r->fit->k; c++) part[c] = sum > 0 ? parts[c] / sum : 0;
  return sum / (NODES * ROOT_2_PI * ROOT_2_PI * ROOT_2_PI);
}

/* Probabilities of each color, each way and the rest; returns the density. */
static double belongs(const ready *r, const float lab[3], double pure[3], double way[WAYS_MAX],
                      double part[WAYS_MAX][DW_SWIRL_COLORS_MAX], double *other) {
  size_t k = r->fit->k;
  double sum = *other = r->fit->other / ANYWHERE;
  for (size_t c = 0; c < k; c++) sum += pure[c] = r->fit->pure[c] * pure_density(r, c, lab);
  for (size_t w = 0; w < ways_of(k); w++) sum += way[w] = r->fit->way[w] * way_density(r, w, lab, part[w]);
  for (size_t c = 0; c < k; c++) pure[c] /= sum;
  for (size_t w = 0; w < ways_of(k); w++) way[w] /= sum;
  *other /= sum;
  return sum;
}

/* ---- one step -------------------------------------------------------------------------------------------- */

typedef struct sums {
  double pure[3], way[WAYS_MAX], other, lab[3][3], square[3][9];
} sums;

static double gather(const ready *r, const float *lab, size_t n, sums *out) {
  double likelihood = 0;
  *out = (sums){.other = 0};
  for (size_t i = 0; i < n; i++) {
    const float *x = lab + 3 * i;
    double pure[3], way[WAYS_MAX], part[WAYS_MAX][DW_SWIRL_COLORS_MAX], other;
    likelihood += log(belongs(r, x, pure, way, part, &other));
    out->other += other;
    for (size_t w = 0; w < ways_of(r->fit->k); w++) out->way[w] += way[w];
    for (size_t c = 0; c < r->fit->k; c++) {
      out->pure[c] += pure[c];
      for (int j = 0; j < 3; j++) out->lab[c][j] += pure[c] * (double)x[j];
      for (int j = 0; j < 9; j++) out->square[c][j] += pure[c] * (double)x[j / 3] * (double)x[j % 3];
    }
  }
  return likelihood;
}

/* Its scatter: what lies along shade, and the rest held narrow. */
static void cov_hold(const double center[3], double cov[9]) {
  double dim[3], u[3], size = 0, shade = 0, rest[9], wide = 0, lean[3] = {0};
  seen_as(center, .9, 0, dim);
  for (int i = 0; i < 3; i++) u[i] = dim[i] - center[i], size += u[i] * u[i];
  for (int i = 0; i < 3; i++) u[i] /= sqrt(fmax(size, 1e-12));
  for (int j = 0; j < 9; j++) shade += u[j / 3] * cov[j] * u[j % 3], lean[j / 3] += cov[j] * u[j % 3];
  for (int j = 0; j < 9; j++)
    rest[j] = cov[j] - u[j / 3] * lean[j % 3] - lean[j / 3] * u[j % 3] + shade * u[j / 3] * u[j % 3];
  for (int j = 0; j < 9; j += 4) wide += rest[j];
  double shrink = fmin(1, 2 * WIDEST * WIDEST / fmax(wide, 1e-9));
  shade = fmin(fmax(shade, 0), SHADED * SHADED);
  for (int j = 0; j < 9; j++) cov[j] = shrink * rest[j] + shade * u[j / 3] * u[j % 3];
  for (int j = 0; j < 9; j += 4) cov[j] += FLOOR * FLOOR;
}

static void color_take(const sums *s, size_t c, dw__swirl_fit *fit) {
  double weight = s->pure[c];
  if (weight < 3) return; /* hardly a place is of it: it stays where it is */
  for (int j = 0; j < 3; j++) fit->center[c][j] = s->lab[c][j] / weight;
  for (int j = 0; j < 9; j++)
    fit->cov[c][j] = s->square[c][j] / weight - fit->center[c][j / 3] * fit->center[c][j % 3];
  cov_hold(fit->center[c], fit->cov[c]);
}

static void step(const float *lab, size_t n, dw__swirl_fit *fit) {
  ready r;
  sums s;
  dw__swirl_ready_make(fit, &r);
  fit->likelihood = gather(&r, lab, n, &s);
  for (size_t c = 0; c < fit->k; c++) {
    fit->pure[c] = fmax(s.pure[c] / (double)n, 1e-4);
    color_take(&s, c, fit);
  }
  for (size_t w = 0; w < ways_of(fit->k); w++)
    fit->way[w] = fmin(fmax(s.way[w] / (double)n, 1e-4), w < blends_of(fit->k) ? 1 : GLOSS_MOST);
  fit->other = fmin(fmax(s.other / (double)n, 1e-3), .3);
}

/* ---- where it begins ------------------------------------------------------------------------------------- */

static double square_to(const float a[3], const double b[3]) {
  double sum = 0;
  for (int i = 0; i < 3; i++) sum += ((double)a[i] - b[i]) * ((double)a[i] - b[i]);
  return sum;
}

static size_t nearest(const dw__swirl_fit *fit, size_t known, const float lab[3], double *square) {
  size_t best = 0;
  *square = INFINITY;
  for (size_t c = 0; c < known; c++) {
    double d = square_to(lab, fit->center[c]);
    if (d < *square) *square = d, best = c;
  }
  return best;
}

/* Each next center by chance, the likelier the farther from those there are (Arthur and Vassilvitskii 2007). */
static void centers_choose(const float *lab, size_t n, dw_random *dice, dw__swirl_fit *fit) {
  size_t first = (size_t)(dw_random_uniform(dice) * (double)n);
  for (int i = 0; i < 3; i++) fit->center[0][i] = (double)lab[3 * first + (size_t)i];
  for (size_t c = 1; c < fit->k; c++) {
    double all = 0, square, want;
    for (size_t i = 0; i < n; i++) nearest(fit, c, lab + 3 * i, &square), all += square;
    want = dw_random_uniform(dice) * all;
    size_t at = 0;
    for (; at + 1 < n; at++) {
      nearest(fit, c, lab + 3 * at, &square);
      if ((want -= square) < 0) break;
    }
    for (int i = 0; i < 3; i++) fit->center[c][i] = (double)lab[3 * at + (size_t)i];
  }
}

static void centers_settle(const float *lab, size_t n, dw__swirl_fit *fit) {
  for (int round = 0; round < SPREAD_STEPS; round++) {
    double sum[3][4] = {{0}}, square;
    for (size_t i = 0; i < n; i++) {
      size_t c = nearest(fit, fit->k, lab + 3 * i, &square);
      for (size_t j = 0; j < 3; j++) sum[c][j] += (double)lab[3 * i + j];
      sum[c][3]++;
    }
    for (size_t c = 0; c < fit->k; c++)
      for (size_t j = 0; j < 3 && sum[c][3] > 0; j++) fit->center[c][j] = sum[c][j] / sum[c][3];
  }
}

static void start(const float *lab, size_t n, dw_random *dice, dw__swirl_fit *fit) {
  centers_choose(lab, n, dice, fit);
  centers_settle(lab, n, fit);
  size_t blends = blends_of(fit->k);
  for (size_t c = 0; c < fit->k; c++) {
    fit->pure[c] = (blends ? .7 : .95) / (double)fit->k;
    fit->way[blends + c] = .02 / (double)fit->k;
    for (int j = 0; j < 9; j++) fit->cov[c][j] = j % 4 ? 0 : 4;
  }
  for (size_t w = 0; w < blends; w++) fit->way[w] = .25 / (double)blends;
  fit->other = .03;
}

void dw__swirl_fit_make(const float *lab, size_t n, size_t k, dw__swirl_fit *out) {
  dw_random dice = dw_random_seed(1977 + k);
  *out = (dw__swirl_fit){.likelihood = -INFINITY};
  for (int s = 0; s < STARTS; s++) {
    dw__swirl_fit fit = {.k = k};
    start(lab, n, &dice, &fit);
    for (int i = 0; i < STEPS_TRY; i++) step(lab, n, &fit);
    if (s == 0 || fit.likelihood > out->likelihood) *out = fit;
  }
  for (int i = 0; i < STEPS; i++) step(lab, n, out);
}

void dw__swirl_part(const ready *r, const float lab[3], double part[DW_SWIRL_COLORS_MAX], size_t *pure,
                    double *blend, double *gloss) {
  double own[3], way[WAYS_MAX], of[WAYS_MAX][DW_SWIRL_COLORS_MAX], other;
  size_t k = r->fit->k;
  belongs(r, lab, own, way, of, &other);
  *blend = *gloss = 0;
  *pure = k;
  for (size_t c = 0; c < k; c++) {
    part[c] = own[c];
    if (own[c] > .5) *pure = c;
  }
  for (size_t w = 0; w < ways_of(k); w++) {
    for (size_t c = 0; c < k; c++) part[c] += way[w] * of[w][c];
    *(w < blends_of(k) ? blend : gloss) += way[w];
  }
}
