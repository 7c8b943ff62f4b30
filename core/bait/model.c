#include "bait/model.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <string.h>

/* One deviation of: a blend's color from what K/S says, and what is added to it for the distance between its
 * layers; the shading, as a share; the board shining through an
 * edge, and the edge's darkening; the logarithms of a blend's half width about its mean and of the ratio of
 * strengths. */
#define BLEND_PRIOR 1.0
#define BLEND_SHARE 0.02
/* And of how far a blend goes that way: 1 as plastic mixes, 0 as light does, where a sharp border is blurred. */
#define MIX_PRIOR 0.7
#define SHADE_PRIOR 0.10
#define THROUGH_PRIOR 0.4
#define HALF_PRIOR 1.0
#define HALF_USUAL 0.03
#define RATIO_PRIOR 0.8
/* And of a streak of gloss, L*. */
#define STREAK_PRIOR 1.5
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

enum {
  LAYER_TERMS = DW_BAIT_LAYERS_MAX + 2 * DW__BORDERS_MAX,
  OWN_MAX = 3 * DW_BAIT_LAYERS_MAX + 4 * DW__BORDERS_MAX
};

/* One place across: the layers' weights, the blends', and what mixtures have off the line between their ends. */
typedef struct place {
  double weight[DW_BAIT_LAYERS_MAX], bump[DW__BORDERS_MAX], bent[DW__BORDERS_MAX][3], off[3];
} place;

static double smooth_step(double x) {
  x = fmin(fmax(x, 0), 1);
  return x * x * (3 - 2 * x);
}

static void weights_at(const dw__model *p, const double *free, double t, place *out) {
  double rest = 1;
  size_t borders = p->layers - 1;
  *out = (place){.off = {0}};
  for (size_t k = 0; k < borders; k++) {
    double half = fmax(exp(free[borders + k]), p->thinnest), ratio = exp(free[2 * borders + k]);
    double past = smooth_step((t - free[k] + half) / (2 * half));
    past = past * ratio / (1 - past + past * ratio);
    double at = past * DW__BEND_STEPS;
    size_t i = (size_t)fmin(at, DW__BEND_STEPS - 1);
    for (int c = 0; c < 3; c++) {
      const double low = p->bend[k][i][c], high = p->bend[k][i + 1][c];
      out->off[c] += out->bent[k][c] = rest * (low + (at - (double)i) * (high - low));
    }
    out->weight[k] = rest * (1 - past);
    out->bump[k] = rest * 4 * past * (1 - past);
    rest *= past;
  }
  out->weight[borders] = rest;
}

static double ks_of(double linear) {
  double r = fmin(fmax(linear, .002), .98);
  return (1 - r) * (1 - r) / (2 * r);
}

void dw__model_bend(dw__model *p, size_t k) {
  size_t per = 2 * p->layers - 1;
  double end[2][3], rgb[2][3], mix[3];
  for (size_t side = 0; side < 2; side++) {
    for (size_t c = 0; c < 3; c++) end[side][c] = p->coefficient[c * per + k + side];
    dw_linear_from_xyz(dw_xyz_from_lab((dw_lab){fmax(end[side][0], 1), end[side][1], end[side][2]}),
                       rgb[side]);
  }
  for (size_t i = 0; i <= DW__BEND_STEPS; i++) {
    double w = (double)i / DW__BEND_STEPS;
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

/* Whether a place is brighter than all that lies around within GLOSS_REACH to one side, with hardly another
 * color: a streak of gloss along the body, or a slim pale layer, which has to tell by its borders' color. */
static bool like_gloss(const dw__strip *strip, size_t j) {
  double sides[2] = {INFINITY, INFINITY}, hue = INFINITY;
  const double *c = strip->profile[j];
  for (int side = 0; side < 2; side++)
    for (size_t r = 1; r <= GLOSS_REACH; r++) {
      size_t at = side ? j + r : j - r;
      if (at >= DW__ACROSS) break;
      sides[side] = fmin(sides[side], strip->profile[at][0]);
      hue = fmin(hue, hypot(strip->profile[at][1] - c[1], strip->profile[at][2] - c[2]) +
                          (r < GLOSS_REACH ? 100 : 0));
    }
  return c[0] - fmax(sides[0], sides[1]) > GLOSS_OVER && hue < GLOSS_HUE;
}

/* Gloss adds light of the lamp's color to what the plastic gives. */
static void white_at(const double c[3], double out[3]) {
  enum { LIT = 1 }; /* percent of white */
  double rgb[3];
  dw_linear_from_xyz(dw_xyz_from_lab((dw_lab){fmax(c[0], 1), c[1], c[2]}), rgb);
  for (int k = 0; k < 3; k++) rgb[k] += LIT / 100.0;
  dw_lab lit = dw_lab_from_xyz(dw_xyz_from_linear(rgb));
  const double at[3] = {lit.L, lit.a, lit.b};
  for (int k = 0; k < 3; k++) out[k] = (at[k] - c[k]) / fmax(lit.L - c[0], .1);
}

/* Coefficients that are not of shades: by channel the layers' colors and the blends' own, then how blends mix. */
static size_t own_of(const dw__model *p) {
  return 3 * (2 * p->layers - 1) + p->layers - 1;
}

static double prior_of(const dw__model *p, size_t i) {
  size_t per = 2 * p->layers - 1, own = own_of(p);
  if (i >= own + DW__FORMS) return STREAK_PRIOR;
  if (i >= own) return i < own + 3 ? SHADE_PRIOR : THROUGH_PRIOR;
  if (i >= 3 * per) return MIX_PRIOR;
  return i % per < p->layers ? 1e4 : p->blend_prior[i % per - p->layers];
}

static void shade_add(dw__model *p, size_t j, size_t k, size_t s, double much) {
  if (fabs(much) > 1e-12) p->shade[j][k][p->shades[j][k]++] = (dw__term){s, much};
}

/* What a unit of each shade adds at place j. */
static void shades_make(dw__model *p, size_t j) {
  const double *c = p->strip->profile[j], t = ((double)j + .5) / DW__ACROSS, u = 2 * t - 1;
  double left = fmax(1 - t / EDGE_REACH, 0), right = fmax(1 - (1 - t) / EDGE_REACH, 0), white[3];
  double thin = 1 - sqrt(1 - u * u); /* of a round body */
  const double form[DW__FORMS] = {
      u,           u * u,         u * u * u * u,    left * left,     right * right,
      left * left, right * right, u < 0 ? thin : 0, u > 0 ? thin : 0};
  white_at(c, white);
  for (size_t k = 0; k < 3; k++) {
    for (size_t s = 0; s < DW__FORMS; s++)
      shade_add(p, j, k, s, form[s] * (s < 5 ? c[k] + (k == 0 ? 16 : 0) : p->strip->board[k] - c[k]));
    for (size_t g = 0; g < DW__STREAKS; g++)
      shade_add(p, j, k, DW__FORMS + g, white[k] * fmax(1 - fabs(t * DW__STREAKS - .5 - (double)g), 0));
  }
}

static void shades_invert(dw__model *p) {
  enum { N = DW__SHADES };
  double normal[N * N] = {0};
  for (size_t s = 0; s < N; s++) {
    double prior = prior_of(p, own_of(p) + s);
    normal[s * N + s] = 1 / (prior * prior);
    p->shades_inverse[s * N + s] = 1;
  }
  for (size_t j = 0; j < DW__ACROSS; j++)
    for (size_t k = 0; k < 3; k++)
      for (size_t a = 0; a < p->shades[j][k]; a++)
        for (size_t b = 0; b < p->shades[j][k]; b++) {
          const dw__term *x = &p->shade[j][k][a], *y = &p->shade[j][k][b];
          normal[x->which * N + y->which] += p->weight[j][k > 0] * p->weight[j][k > 0] * x->much * y->much;
        }
  if (dw_cholesky(normal, N, NULL) == DW_OK) dw_cholesky_solve(normal, N, p->shades_inverse, N);
}

void dw__model_make(const dw__strip *strip, size_t layers, double thinnest, double unexplained,
                    dw__model *p) {
  *p = (dw__model){.strip = strip, .layers = layers, .thinnest = thinnest};
  p->linear = own_of(p) + DW__SHADES;
  p->rows = 3 * DW__ACROSS + p->linear + 2 * (layers - 1);
  for (size_t k = 0; k < DW__BORDERS_MAX; k++) p->blend_prior[k] = BLEND_PRIOR;
  for (size_t j = 0; j < DW__ACROSS; j++) {
    const double *c = strip->profile[j], t = ((double)j + .5) / DW__ACROSS;
    const float at[3] = {(float)c[0], (float)c[1], (float)c[2]};
    float weight[2];
    dw__search_weights(at, weight);
    double sigma = hypot(unexplained, strip->noise[j]), trust = like_gloss(strip, j) ? GLOSS_TRUST : 1;
    for (int k = 0; k < 2; k++)
      p->weight[j][k] = fmin(t, 1 - t) < EDGE_OUT ? 0 : trust * (double)weight[k] / sigma;
    shades_make(p, j);
  }
  shades_invert(p);
}

/* The layers' and blends' terms of one row: which coefficients, and how much. */
static size_t row_terms(const dw__model *p, const place *row, size_t k, dw__term out[LAYER_TERMS]) {
  size_t n = 0, per = 2 * p->layers - 1;
  for (size_t l = 0; l < per; l++) {
    double v = l < p->layers ? row->weight[l] : row->bump[l - p->layers];
    if (v > 1e-9) out[n++] = (dw__term){k * per + l, v};
  }
  for (size_t b = 0; b + 1 < p->layers; b++)
    if (fabs(row->bent[b][k]) > 1e-9) out[n++] = (dw__term){3 * per + b, row->bent[b][k]};
  return n;
}

/* The normal equations: the layers' own part, theirs with the shades (layers x shades), and the right sides. */
typedef struct equations {
  double own[OWN_MAX * OWN_MAX], mixed[OWN_MAX][DW__SHADES], right[DW__LINEAR_MAX];
} equations;

static void row_add(const dw__model *p, size_t own, size_t j, size_t k, const place *row, equations *e) {
  dw__term term[LAYER_TERMS];
  const dw__term *shade = p->shade[j][k];
  size_t n = row_terms(p, row, k, term);
  double w = p->weight[j][k > 0] * p->weight[j][k > 0], value = p->strip->profile[j][k] - row->off[k];
  for (size_t a = 0; a < n; a++) {
    double wa = w * term[a].much;
    e->right[term[a].which] += wa * value;
    for (size_t b = 0; b <= a; b++) e->own[term[a].which * own + term[b].which] += wa * term[b].much;
    for (size_t s = 0; s < p->shades[j][k]; s++)
      e->mixed[term[a].which][shade[s].which] += wa * shade[s].much;
  }
  for (size_t s = 0; s < p->shades[j][k]; s++) e->right[own + shade[s].which] += w * shade[s].much * value;
}

/* The shades are eliminated first, by the inverse of their part; false where the rest can't be solved. */
static bool coefficients_find(dw__model *p, size_t own, equations *e) {
  double reach[OWN_MAX][DW__SHADES];
  for (size_t a = 0; a < own; a++)
    for (size_t s = 0; s < DW__SHADES; s++) {
      double sum = 0;
      for (size_t i = 0; i < DW__SHADES; i++) sum += e->mixed[a][i] * p->shades_inverse[s * DW__SHADES + i];
      reach[a][s] = sum;
    }
  for (size_t a = 0; a < own; a++) {
    for (size_t b = 0; b <= a; b++) {
      double sum = e->own[a * own + b];
      for (size_t s = 0; s < DW__SHADES; s++) sum -= reach[a][s] * e->mixed[b][s];
      e->own[a * own + b] = e->own[b * own + a] = sum;
    }
    for (size_t s = 0; s < DW__SHADES; s++) e->right[a] -= reach[a][s] * e->right[own + s];
  }
  if (dw_cholesky(e->own, own, NULL) != DW_OK) return false;
  dw_cholesky_solve(e->own, own, e->right, 1);
  for (size_t a = 0; a < own; a++) p->coefficient[a] = e->right[a];
  for (size_t s = 0; s < DW__SHADES; s++) {
    double sum = 0;
    for (size_t i = 0; i < DW__SHADES; i++) sum += p->shades_inverse[s * DW__SHADES + i] * e->right[own + i];
    for (size_t a = 0; a < own; a++) sum -= reach[a][s] * e->right[a];
    p->coefficient[own + s] = sum;
  }
  return true;
}

/* What the row leaves, weighted. */
static double row_left(const dw__model *p, size_t own, size_t j, size_t k, const place *row) {
  dw__term term[LAYER_TERMS];
  size_t n = row_terms(p, row, k, term);
  double value = p->strip->profile[j][k] - row->off[k];
  for (size_t a = 0; a < n; a++) value -= p->coefficient[term[a].which] * term[a].much;
  for (size_t s = 0; s < p->shades[j][k]; s++)
    value -= p->coefficient[own + p->shade[j][k][s].which] * p->shade[j][k][s].much;
  return p->weight[j][k > 0] * value;
}

double dw__model_solve(dw__model *p, const double *free, double residual[DW__ROWS_MAX]) {
  place at[DW__ACROSS];
  equations e = {.right = {0}};
  size_t own = own_of(p), borders = p->layers - 1, row = 0;
  double sum = 0;
  for (size_t i = 0; i < own; i++) e.own[i * own + i] = 1 / (prior_of(p, i) * prior_of(p, i));
  for (size_t j = 0; j < DW__ACROSS; j++) {
    weights_at(p, free, ((double)j + .5) / DW__ACROSS, &at[j]);
    for (size_t k = 0; k < 3; k++) row_add(p, own, j, k, &at[j], &e);
  }
  if (!coefficients_find(p, own, &e)) return INFINITY;
  for (size_t j = 0; j < DW__ACROSS; j++)
    for (size_t k = 0; k < 3; k++) residual[row++] = row_left(p, own, j, k, &at[j]);
  for (size_t i = 0; i < p->linear; i++) residual[row++] = p->coefficient[i] / prior_of(p, i);
  for (size_t k = 0; k < borders; k++) {
    residual[row++] = (free[borders + k] - log(HALF_USUAL)) / HALF_PRIOR;
    residual[row++] = free[2 * borders + k] / RATIO_PRIOR;
  }
  for (size_t i = 0; i < row; i++) sum += residual[i] * residual[i];
  return sum;
}
