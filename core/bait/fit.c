/* Fitting plateaus and blends to a profile.
 *
 * The profile is a sum of the layers' colors, each by its weight; between two layers the weights change as a
 * smooth step of some width. Two plastics mix on a straight line in K/S, not in color (Kubelka and Munk 1931:
 * yellow and blue make green), and the one that scatters more is the stronger: so a blend's color bends off
 * the line between its layers by what K/S says, and its weight is skewed by one ratio. The rounding of the
 * body shades the profile by a smooth function, and toward both edges, where it is thin, the board shines
 * through or it darkens. Given borders, widths and ratios, what is left is linear (variable projection, Golub
 * and Pereyra 1973); they are found by Levenberg-Marquardt. A further layer must earn its place. */
#include "bait/fit.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <string.h>

enum {
  ACROSS = DW_BAIT_PROFILE,
  BORDERS_MAX = DW_BAIT_LAYERS_MAX - 1,
  SHADES = 9,
  PARTS_MAX = DW_BAIT_LAYERS_MAX + BORDERS_MAX,
  LINEAR_MAX = 3 * PARTS_MAX + SHADES,
  FREE_MAX = 3 * BORDERS_MAX,
  BEND_STEPS = 32,
  ROWS_MAX = 3 * ACROSS + LINEAR_MAX + FREE_MAX,
  ROUNDS = 10,
  STEPS = 3
};

/* What the model leaves unexplained of any real profile: so much, and such a share of the largest difference
 * in it, about CIEDE2000. */
#define MODEL_NOISE 0.5
#define MODEL_SHARE 0.015
/* One deviation of: a blend's color from what K/S says, and what is added to it for the distance between its
 * layers; the shading, as a share; the board shining through an
 * edge, and the edge's darkening; the logarithms of a blend's half width about its mean and of the ratio of
 * strengths. */
#define BLEND_PRIOR 2.0
#define BLEND_SHARE 0.08
#define SHADE_PRIOR 0.10
#define THROUGH_PRIOR 0.4
#define HALF_PRIOR 1.0
#define HALF_USUAL 0.03
#define RATIO_PRIOR 0.8
/* How far an edge reaches, and what of it is
 * left out, as shares of the height. */
#define EDGE_REACH 0.15
#define EDGE_OUT 0.04
/* A bright streak no wider than this many places, over its surroundings by so much L*, no farther from their
 * a* and b* than that, counts for less. */
enum { GLOSS_REACH = 5 };
#define GLOSS_OVER 1.0
#define GLOSS_HUE 5.0
#define GLOSS_TRUST 0.25
/* The least share of a layer between two, and of one at an edge. */
#define SHARE_LEAST 0.08
#define OUTER_LEAST 0.10
/* It differs from its neighbors by so much, CIEDE2000. */
#define APART_LEAST 3.0
/* A middle layer slimmer than this is flat over at least so much of its share. */
#define SLIM_SHARE 0.12
#define SLIM_FLAT 0.25
/* An outer layer thinner than this may be the board shining through, unless its color lies so far off. */
#define THROUGH_SHARE 0.2
#define THROUGH_OFF 5.0
/* What one more layer must better the sum of squares by. */
#define LAYER_PRICE 45.0
/* What it may be worse by with the number of layers that most baits of a shot have. */
#define USUAL_PRICE 60.0

typedef struct problem {
  const dw__strip *strip;
  size_t layers, linear, rows;
  double thinnest;
  double weight[ACROSS][2];            /* for L*, and for a*, b* */
  double shaded[ACROSS][3][SHADES];    /* what a unit of each shading function adds to a channel */
  double pull[ACROSS][3][SHADES];      /* the same by the squared weight */
  double shade_normal[SHADES][SHADES]; /* their products over the profile */
  double coefficient[LINEAR_MAX];
  double blend_prior[BORDERS_MAX];
  double bend[BORDERS_MAX][BEND_STEPS + 1]
             [3]; /* off the line between two layers, by the second one's weight */
} problem;

static double smooth_step(double x) {
  x = fmin(fmax(x, 0), 1);
  return x * x * (3 - 2 * x);
}

typedef struct blend {
  double at, half, ratio;
} blend;

/* free: borders, logarithms of the halves, logarithms of the ratios. */
static void blends_of(const problem *p, const double *free, blend out[BORDERS_MAX]) {
  size_t borders = p->layers - 1;
  for (size_t k = 0; k < borders; k++)
    out[k] = (blend){free[k], fmax(exp(free[borders + k]), p->thinnest), exp(free[2 * borders + k])};
}

/* Each layer's weight at a place, then each blend's bump; and what mixing bends the color by. */
static void weights_at(const problem *p, const blend *blends, double t, double weight[PARTS_MAX],
                       double off[3]) {
  double rest = 1, *bump = weight + p->layers;
  size_t borders = p->layers - 1;
  memset(off, 0, 3 * sizeof *off);
  for (size_t k = 0; k < borders; k++) {
    double half = blends[k].half, ratio = blends[k].ratio;
    double past = smooth_step((t - blends[k].at + half) / (2 * half));
    past = past * ratio / (1 - past + past * ratio);
    double at = past * BEND_STEPS;
    size_t i = (size_t)fmin(at, BEND_STEPS - 1);
    for (int c = 0; c < 3; c++) {
      const double low = p->bend[k][i][c], high = p->bend[k][i + 1][c];
      off[c] += rest * (low + (at - (double)i) * (high - low));
    }
    weight[k] = rest * (1 - past);
    bump[k] = rest * 4 * past * (1 - past);
    rest *= past;
  }
  weight[borders] = rest;
}

static double ks_of(double linear) {
  double r = fmin(fmax(linear, .002), .98);
  return (1 - r) * (1 - r) / (2 * r);
}

/* What a mixture of layers k and k + 1 has off the line between their colors. */
static void bend_make(problem *p, size_t k) {
  size_t per = 2 * p->layers - 1;
  double end[2][3], rgb[2][3], mix[3];
  for (size_t side = 0; side < 2; side++) {
    for (size_t c = 0; c < 3; c++) end[side][c] = p->coefficient[c * per + k + side];
    dw_linear_from_xyz(dw_xyz_from_lab((dw_lab){fmax(end[side][0], 1), end[side][1], end[side][2]}),
                       rgb[side]);
  }
  for (size_t i = 0; i <= BEND_STEPS; i++) {
    double w = (double)i / BEND_STEPS;
    for (int c = 0; c < 3; c++) {
      double ks = (1 - w) * ks_of(rgb[0][c]) + w * ks_of(rgb[1][c]),
             line = (1 - w) * rgb[0][c] + w * rgb[1][c];
      double kept = (1 - w) * (rgb[0][c] - fmin(fmax(rgb[0][c], .002), .98)) +
                    w * (rgb[1][c] - fmin(fmax(rgb[1][c], .002), .98));
      mix[c] = fmin(1 + ks - sqrt(ks * ks + 2 * ks) + kept, fmax(line, 1.5));
    }
    dw_lab lab = dw_lab_from_xyz(dw_xyz_from_linear(mix));
    const double at[3] = {lab.L, lab.a, lab.b};
    for (int c = 0; c < 3; c++) p->bend[k][i][c] = at[c] - ((1 - w) * end[0][c] + w * end[1][c]);
  }
  double apart =
      sqrt(pow(end[0][0] - end[1][0], 2) + pow(end[0][1] - end[1][1], 2) + pow(end[0][2] - end[1][2], 2));
  p->blend_prior[k] = BLEND_PRIOR + BLEND_SHARE * apart;
}

/* The largest difference within the profile, about CIEDE2000. */
static double contrast_of(const dw__strip *strip) {
  double most = 0;
  const double(*c)[3] = (const double(*)[3])strip->profile;
  for (size_t i = 4; i < ACROSS - 4; i += 2)
    for (size_t j = 4; j < i; j += 2)
      most = fmax(most, dw_de00((dw_lab){c[i][0], c[i][1], c[i][2]}, (dw_lab){c[j][0], c[j][1], c[j][2]}));
  return most;
}

/* Whether a place is brighter than all that lies around within GLOSS_REACH to one side, with hardly another
 * color: a streak of gloss along the body, or a slim pale layer, which has to tell by its borders' color. */
static bool like_gloss(const dw__strip *strip, size_t j) {
  double sides[2] = {INFINITY, INFINITY}, hue = INFINITY;
  const double *c = strip->profile[j];
  for (int side = 0; side < 2; side++)
    for (size_t r = 1; r <= GLOSS_REACH; r++) {
      size_t at = side ? j + r : j - r;
      if (at >= ACROSS) break;
      sides[side] = fmin(sides[side], strip->profile[at][0]);
      hue = fmin(hue, hypot(strip->profile[at][1] - c[1], strip->profile[at][2] - c[2]) +
                          (r < GLOSS_REACH ? 100 : 0));
    }
  return c[0] - fmax(sides[0], sides[1]) > GLOSS_OVER && hue < GLOSS_HUE;
}

/* The shading functions at place j. */
static void shades_take(problem *p, size_t j, const double shade[SHADES]) {
  const double *c = p->strip->profile[j];
  for (size_t k = 0; k < 3; k++) {
    double *to = p->shaded[j][k], w = p->weight[j][k > 0] * p->weight[j][k > 0];
    for (size_t s = 0; s < SHADES; s++) {
      to[s] = shade[s] * (s < 5 ? c[k] + (k == 0 ? 16 : 0) : p->strip->board[k] - c[k]);
      p->pull[j][k][s] = w * to[s];
    }
    for (size_t s = 0; s < SHADES; s++)
      for (size_t r = 0; r <= s; r++) p->shade_normal[s][r] += p->pull[j][k][s] * to[r];
  }
}

static void problem_make(const dw__strip *strip, size_t layers, double thinnest, double unexplained,
                         problem *p) {
  *p = (problem){.strip = strip, .layers = layers, .thinnest = thinnest};
  p->linear = 3 * (2 * layers - 1) + SHADES;
  p->rows = 3 * ACROSS + p->linear + 2 * (layers - 1);
  for (size_t k = 0; k < BORDERS_MAX; k++) p->blend_prior[k] = BLEND_PRIOR;
  for (size_t j = 0; j < ACROSS; j++) {
    const double *c = strip->profile[j];
    const float at[3] = {(float)c[0], (float)c[1], (float)c[2]};
    float weight[2];
    dw__search_weights(at, weight);
    double sigma = hypot(unexplained, strip->noise[j]), t = ((double)j + .5) / ACROSS, u = 2 * t - 1;
    double trust = like_gloss(strip, j) ? GLOSS_TRUST : 1;
    for (int k = 0; k < 2; k++)
      p->weight[j][k] = fmin(t, 1 - t) < EDGE_OUT ? 0 : trust * (double)weight[k] / sigma;
    double left = fmax(1 - t / EDGE_REACH, 0), right = fmax(1 - (1 - t) / EDGE_REACH, 0);
    left *= left, right *= right;
    double thin = 1 - sqrt(1 - u * u); /* of a round body */
    shades_take(p, j,
                (double[SHADES]){u, u * u, u * u * u * u, left, right, left, right, u < 0 ? thin : 0,
                                 u > 0 ? thin : 0});
  }
}

static double prior_of(const problem *p, size_t i) {
  size_t per = 2 * p->layers - 1;
  if (i >= 3 * per) return i < 3 * per + 3 ? SHADE_PRIOR : THROUGH_PRIOR;
  return i % per < p->layers ? 1e4 : p->blend_prior[i % per - p->layers];
}

/* The parts that count at one place: which, how much, and the color left for them. */
typedef struct place {
  size_t n, which[PARTS_MAX];
  double much[PARTS_MAX], color[3];
} place;

static void places_fill(const problem *p, const double *free, place at[ACROSS]) {
  blend blends[BORDERS_MAX];
  double weight[PARTS_MAX], off[3];
  blends_of(p, free, blends);
  for (size_t j = 0; j < ACROSS; j++) {
    weights_at(p, blends, ((double)j + .5) / ACROSS, weight, off);
    at[j].n = 0;
    for (size_t l = 0; l < 2 * p->layers - 1; l++)
      if (weight[l] > 1e-9) at[j].which[at[j].n] = l, at[j].much[at[j].n++] = weight[l];
    for (size_t k = 0; k < 3; k++) at[j].color[k] = p->strip->profile[j][k] - off[k];
  }
}

/* One place in one channel into the lower triangle of the normal equations. */
static void normal_add(problem *p, const place *at, size_t j, size_t k, double *normal) {
  size_t n = p->linear, per = 2 * p->layers - 1;
  double w = p->weight[j][k > 0] * p->weight[j][k > 0];
  const double *pull = p->pull[j][k];
  for (size_t a = 0; a < at->n; a++) {
    size_t row = k * per + at->which[a];
    double much = at->much[a];
    p->coefficient[row] += w * much * at->color[k];
    for (size_t b = 0; b <= a; b++) normal[row * n + k * per + at->which[b]] += w * much * at->much[b];
    for (size_t s = 0; s < SHADES; s++) normal[(3 * per + s) * n + row] += much * pull[s];
  }
  for (size_t s = 0; s < SHADES; s++) p->coefficient[3 * per + s] += pull[s] * at->color[k];
}

static double residual_at(const problem *p, const place *at, size_t j, size_t k) {
  size_t per = 2 * p->layers - 1;
  const double *shaded = p->shaded[j][k], *shade = p->coefficient + 3 * per;
  double value = at->color[k];
  for (size_t a = 0; a < at->n; a++) value -= p->coefficient[k * per + at->which[a]] * at->much[a];
  for (size_t s = 0; s < SHADES; s++) value -= shade[s] * shaded[s];
  return p->weight[j][k > 0] * value;
}

/* Solves for the linear part and fills the residuals; returns their sum of squares, or infinity. */
static double solve(problem *p, const double *free, double residual[ROWS_MAX]) {
  double normal[LINEAR_MAX * LINEAR_MAX], sum = 0;
  place at[ACROSS];
  size_t n = p->linear, borders = p->layers - 1, row = 0, first = n - SHADES;
  memset(p->coefficient, 0, sizeof p->coefficient);
  memset(normal, 0, n * n * sizeof *normal);
  for (size_t i = 0; i < n; i++) normal[i * n + i] = 1 / (prior_of(p, i) * prior_of(p, i));
  for (size_t s = 0; s < SHADES; s++)
    for (size_t r = 0; r <= s; r++) normal[(first + s) * n + first + r] += p->shade_normal[s][r];
  places_fill(p, free, at);
  for (size_t j = 0; j < ACROSS; j++)
    for (size_t k = 0; k < 3; k++) normal_add(p, &at[j], j, k, normal);
  if (dw_cholesky(normal, n, NULL) != DW_OK) return INFINITY;
  dw_cholesky_solve(normal, n, p->coefficient, 1);
  for (size_t j = 0; j < ACROSS; j++)
    for (size_t k = 0; k < 3; k++) residual[row++] = residual_at(p, &at[j], j, k);
  for (size_t i = 0; i < n; i++) residual[row++] = p->coefficient[i] / prior_of(p, i);
  for (size_t k = 0; k < borders; k++) {
    residual[row++] = (free[borders + k] - log(HALF_USUAL)) / HALF_PRIOR;
    residual[row++] = free[2 * borders + k] / RATIO_PRIOR;
  }
  for (size_t i = 0; i < row; i++) sum += residual[i] * residual[i];
  return sum;
}

/* Borders in order, layers not too thin, blends no wider than what they join. */
static bool allowed(const problem *p, const double *free) {
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

/* One Levenberg-Marquardt step by differences; false where nothing betters it. */
static bool step(problem *p, double *free, double *best, double *damping) {
  double at[ROWS_MAX], moved[ROWS_MAX], jacobian[FREE_MAX][ROWS_MAX], next[FREE_MAX];
  size_t n = 3 * (p->layers - 1);
  solve(p, free, at);
  for (size_t i = 0; i < n; i++) {
    double delta = i < n / 3 ? 2e-3 : 2e-2;
    memcpy(next, free, n * sizeof *next);
    next[i] += delta;
    solve(p, next, moved);
    for (size_t r = 0; r < p->rows; r++) jacobian[i][r] = (moved[r] - at[r]) / delta;
  }
  for (int attempt = 0; attempt < 6; attempt++, *damping *= 6) {
    double normal[FREE_MAX * FREE_MAX] = {0}, move[FREE_MAX] = {0};
    for (size_t i = 0; i < n; i++)
      for (size_t r = 0; r < p->rows; r++) {
        move[i] -= jacobian[i][r] * at[r];
        for (size_t k = 0; k < n; k++) normal[i * n + k] += jacobian[i][r] * jacobian[k][r];
      }
    for (size_t i = 0; i < n; i++) normal[i * n + i] *= 1 + *damping, normal[i * n + i] += 1e-9;
    if (dw_cholesky(normal, n, NULL) != DW_OK) continue;
    dw_cholesky_solve(normal, n, move, 1);
    for (size_t i = 0; i < n; i++) next[i] = free[i] + move[i];
    if (!allowed(p, next)) continue;
    double sum = solve(p, next, moved);
    if (!(sum < *best)) continue;
    bool far = *best - sum > 1e-3 * *best;
    memcpy(free, next, n * sizeof *next);
    *best = sum;
    *damping = fmax(*damping / 8, 1e-4);
    return far;
  }
  return false;
}

/* ---- where it begins ------------------------------------------------------------------------------------
 */

/* Sums of squares of the profile about its mean between two places. */
static double within(double sum[ACROSS + 1][4], size_t from, size_t to) {
  double n = (double)(to - from), out = sum[to][3] - sum[from][3];
  for (int k = 0; k < 3; k++) out -= pow(sum[to][k] - sum[from][k], 2) / n;
  return out;
}

/* The best cut of the profile into flat parts, by dynamic programming.  Edges are taken to be as what is
 * beside them. */
static void cut(const dw__strip *strip, size_t layers, double *border) {
  enum { INNER = 3, OUTER = 5, RIM = 4 };
  double sum[ACROSS + 1][4] = {{0}}, cost[DW_BAIT_LAYERS_MAX + 1][ACROSS + 1];
  size_t from[DW_BAIT_LAYERS_MAX + 1][ACROSS + 1] = {{0}};
  for (size_t j = 0; j < ACROSS; j++)
    for (int k = 0; k < 4; k++) {
      const double *c = strip->profile[j < RIM ? RIM : j >= ACROSS - RIM ? ACROSS - RIM - 1 : j];
      double v[3] = {.7 * c[0], c[1], c[2]};
      sum[j + 1][k] = sum[j][k] + (k < 3 ? v[k] : v[0] * v[0] + v[1] * v[1] + v[2] * v[2]);
    }
  for (size_t to = 0; to <= ACROSS; to++) cost[1][to] = to >= OUTER ? within(sum, 0, to) : INFINITY;
  for (size_t l = 2; l <= layers; l++)
    for (size_t to = 0; to <= ACROSS; to++) {
      cost[l][to] = INFINITY;
      for (size_t at = OUTER; at + (l == layers ? OUTER : INNER) <= to; at++) {
        double c = cost[l - 1][at] + within(sum, at, to);
        if (c < cost[l][to]) cost[l][to] = c, from[l][to] = at;
      }
    }
  for (size_t l = layers, to = ACROSS; l > 1; l--) {
    to = from[l][to];
    border[l - 2] = (double)to / ACROSS;
  }
}

static void keep(const problem *p, const double *free, double score, dw__layers *out) {
  size_t borders = p->layers - 1, per = 2 * p->layers - 1;
  *out = (dw__layers){.n = p->layers, .score = score};
  for (size_t k = 0; k < borders; k++)
    out->border[k] = free[k], out->half[k] = fmax(exp(free[borders + k]), p->thinnest);
  for (size_t l = 0; l < p->layers; l++)
    for (size_t k = 0; k < 3; k++) out->color[l][k] = p->coefficient[k * per + l];
}

/* The best fit of so many layers; score infinite where there is none. */
static void fit_number(const dw__strip *strip, size_t layers, double thinnest, double unexplained,
                       dw__layers *out) {
  static const double begin[] = {.03, .10};
  problem p;
  double residual[ROWS_MAX];
  problem_make(strip, layers, thinnest, unexplained, &p);
  *out = (dw__layers){.n = layers, .score = INFINITY};
  size_t borders = layers - 1;
  for (int b = 0; b < (layers > 1 ? 2 : 1); b++) {
    double free[FREE_MAX] = {0}, damping = 1e-2;
    cut(strip, layers, free);
    for (size_t k = 0; k < borders; k++) {
      double room = fmin(free[k] - (k ? free[k - 1] : 0), (k + 1 < borders ? free[k + 1] : 1) - free[k]);
      free[borders + k] = log(fmax(fmin(begin[b], .9 * room), thinnest));
    }
    for (size_t k = 0; k < borders; k++) free[2 * borders + k] = 0;
    if (!allowed(&p, free)) continue;
    memset(p.bend, 0, sizeof p.bend);
    double best = solve(&p, free, residual);
    for (int round = 0; round < ROUNDS && layers > 1; round++) {
      for (size_t k = 0; k < borders; k++) bend_make(&p, k);
      best = solve(&p, free, residual);
      for (int i = 0; i < STEPS && step(&p, free, &best, &damping); i++) continue;
      best = solve(&p, free, residual);
      if (best < out->score) keep(&p, free, best, out); /* the rounds need not come to rest */
    }
    if (layers == 1) keep(&p, free, best, out);
  }
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

/* Layers differ from their neighbors, and are neither a blend nor an edge taken for one. */
static bool layers_differ(const dw__strip *strip, const dw__layers *f) {
  size_t n = f->n;
  for (size_t k = 0; k + 1 < n; k++) {
    dw_lab p = {f->color[k][0], f->color[k][1], f->color[k][2]},
           q = {f->color[k + 1][0], f->color[k + 1][1], f->color[k + 1][2]};
    if (dw_de00(p, q) < APART_LEAST) return false;
  }
  for (size_t k = 1; k + 1 < n; k++) {
    double share = f->border[k] - f->border[k - 1];
    if (share < SLIM_SHARE && share - f->half[k - 1] - f->half[k] < SLIM_FLAT * share) return false;
  }
  return n < 2 || (!shines_through(strip, f, 0, 1, f->border[0]) &&
                   !shines_through(strip, f, n - 1, n - 2, 1 - f->border[n - 2]));
}

/* ---- along the body --------------------------------------------------------------------------------------
 */

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

static void offsets(dw__strip *strip, dw__layers *f) {
  for (size_t k = 0; k + 1 < f->n; k++) {
    double whole = border_in(strip->profile, f, k), mean = 0;
    for (size_t w = 0; w < DW__WINDOWS; w++) {
      f->offset[w][k] = border_in(strip->window[w], f, k) - whole;
      mean += f->offset[w][k] / DW__WINDOWS;
    }
    f->border[k] += mean;
    for (size_t w = 0; w < DW__WINDOWS; w++) f->offset[w][k] -= mean;
  }
}

void dw__layers_usual(dw__strip *strip, size_t usual, double thinnest, dw__layers *layers) {
  dw__layers other;
  fit_number(strip, usual, thinnest, hypot(MODEL_NOISE, MODEL_SHARE * contrast_of(strip)), &other);
  other.score += LAYER_PRICE * (double)(usual - 1);
  if (!(other.score <= layers->score + USUAL_PRICE) || !layers_differ(strip, &other)) return;
  offsets(strip, &other);
  *layers = other;
}

void dw__layers_fit(dw__strip *strip, size_t layers, double thinnest, dw__layers *out) {
  dw__layers best = {.score = INFINITY}, one;
  double unexplained = hypot(MODEL_NOISE, MODEL_SHARE * contrast_of(strip));
  for (size_t n = layers ? layers : 1; n <= (layers ? layers : DW_BAIT_LAYERS_MAX); n++) {
    if (best.score <= LAYER_PRICE * (double)(n - 1)) break; /* no fit could be better */
    fit_number(strip, n, thinnest, unexplained, &one);
    one.score += LAYER_PRICE * (double)(n - 1);
    if (!isfinite(one.score) || (!layers && !layers_differ(strip, &one))) continue;
    if (one.score < best.score) best = one;
  }
  if (!isfinite(best.score)) fit_number(strip, 1, thinnest, unexplained, &best);
  offsets(strip, &best);
  *out = best;
}
