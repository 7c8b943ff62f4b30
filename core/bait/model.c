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
#define HALF_PRIOR 0.5
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

/* Columns of the least squares: what is solved for, the moves of what is free, the profile. */
enum {
  COLUMNS_MAX = DW__OWN_MAX + DW__FREE_MAX + 1,
  BLOCK = 8, /* so many at a time */
  COLUMNS_ROOM = (COLUMNS_MAX + BLOCK - 1) / BLOCK * BLOCK
};

/* One border and its blend. */
typedef struct blend {
  double at, half, ratio;
} blend;

/* One place across: the layers' weights, the blends', and what mixtures have off the line between their ends. */
typedef struct place {
  double weight[DW_BAIT_LAYERS_MAX], bump[DW__BORDERS_MAX], bent[DW__BORDERS_MAX][3], off[3];
} place;

static double smooth_step(double x) {
  x = x < 0 ? 0 : x > 1 ? 1 : x;
  return x * x * (3 - 2 * x);
}

static void blends_make(const dw__model *p, const double *free, blend out[DW__BORDERS_MAX]) {
  size_t borders = p->layers - 1;
  for (size_t k = 0; k < borders; k++)
    out[k] = (blend){free[k], fmax(exp(free[borders + k]), p->thinnest), exp(free[2 * borders + k])};
}

static void weights_at(const dw__model *p, const blend *blends, double t, place *out) {
  double rest = 1;
  size_t borders = p->layers - 1;
  *out = (place){.off = {0}};
  for (size_t k = 0; k < borders; k++) {
    const blend *b = &blends[k];
    double past = smooth_step((t - b->at + b->half) / (2 * b->half));
    past = past * b->ratio / (1 - past + past * b->ratio);
    double at = past * DW__BEND_STEPS;
    size_t i = past < 1 ? (size_t)at : DW__BEND_STEPS - 1;
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

/* How many coefficients are solved for: by channel the layers' colors and the blends' own, then how blends mix. */
static size_t own_of(const dw__model *p) {
  return 3 * (2 * p->layers - 1) + p->layers - 1;
}

static double prior_of(const dw__model *p, size_t i) {
  size_t per = 2 * p->layers - 1;
  if (i >= 3 * per) return MIX_PRIOR;
  return i % per < p->layers ? 1e4 : p->blend_prior[i % per - p->layers];
}

static double shade_prior(size_t s) {
  if (s >= DW__FORMS) return STREAK_PRIOR;
  return s < 3 ? SHADE_PRIOR : THROUGH_PRIOR;
}

/* What a unit of each shade adds at place j. */
static void shades_at(dw__model *p, size_t j) {
  const double *c = p->strip->profile[j], t = ((double)j + .5) / DW__ACROSS, u = 2 * t - 1;
  double left = fmax(1 - t / EDGE_REACH, 0), right = fmax(1 - (1 - t) / EDGE_REACH, 0), white[3];
  double thin = 1 - sqrt(1 - u * u); /* of a round body */
  const double form[DW__FORMS] = {
      u,           u * u,         u * u * u * u,    left * left,     right * right,
      left * left, right * right, u < 0 ? thin : 0, u > 0 ? thin : 0};
  white_at(c, white);
  for (size_t k = 0; k < 3; k++) {
    double *to = p->shade[j][k], w = p->weight[j][k];
    for (size_t s = 0; s < DW__FORMS; s++)
      to[s] = w * form[s] * (s < 5 ? c[k] + (k == 0 ? 16 : 0) : p->strip->board[k] - c[k]);
    for (size_t g = 0; g < DW__STREAKS; g++)
      to[DW__FORMS + g] = w * white[k] * fmax(1 - fabs(t * DW__STREAKS - .5 - (double)g), 0);
  }
}

/* Shades stay the same whatever is free, so what brings them to right angles is found once. */
static void shades_make(dw__model *p) {
  enum { N = DW__SHADES };
  double *normal = p->shades_factor;
  for (size_t s = 0; s < N; s++) normal[s * N + s] = 1 / (shade_prior(s) * shade_prior(s));
  for (size_t j = 0; j < DW__ACROSS; j++) {
    shades_at(p, j);
    for (size_t k = 0; k < 3; k++)
      for (size_t a = 0; a < N; a++) {
        const double *x = p->shade[j][k];
        for (size_t b = 0; b <= a && x[a] != 0; b++) normal[a * N + b] += x[a] * x[b];
      }
  }
  if (dw_cholesky(normal, N, NULL) == DW_OK) return;
  memset(p->shade, 0, sizeof p->shade);
  memset(normal, 0, sizeof p->shades_factor);
  for (size_t s = 0; s < N; s++) normal[s * N + s] = 1;
}

/* Where one layer is alone its rows differ by the profile only, so their sums are found once. */
static void alone_make(dw__model *p) {
  for (size_t j = 0; j < DW__ACROSS; j++)
    for (size_t k = 0; k < 3; k++) {
      const double w = p->weight[j][k], c = w * p->strip->profile[j][k], *shade = p->shade[j][k];
      const dw__alone *before = &p->alone[j][k];
      dw__alone *to = &p->alone[j + 1][k];
      to->layer = before->layer + w * w;
      to->both = before->both + w * c;
      to->profile = before->profile + c * c;
      for (size_t s = 0; s < DW__SHADES; s++) {
        to->layer_shade[s] = before->layer_shade[s] + w * shade[s];
        to->profile_shade[s] = before->profile_shade[s] + c * shade[s];
      }
    }
}

void dw__model_make(const dw__strip *strip, size_t layers, double thinnest, double unexplained,
                    dw__model *p) {
  *p = (dw__model){.strip = strip, .layers = layers, .thinnest = thinnest};
  for (size_t k = 0; k < DW__BORDERS_MAX; k++) p->blend_prior[k] = BLEND_PRIOR;
  for (size_t j = 0; j < DW__ACROSS; j++) {
    const double *c = strip->profile[j], t = ((double)j + .5) / DW__ACROSS;
    const float at[3] = {(float)c[0], (float)c[1], (float)c[2]};
    float weight[2];
    dw__search_weights(at, weight);
    double sigma = hypot(unexplained, strip->noise[j]), trust = like_gloss(strip, j) ? GLOSS_TRUST : 1;
    for (int k = 0; k < 3; k++)
      p->weight[j][k] = fmin(t, 1 - t) < EDGE_OUT ? 0 : trust * (double)weight[k > 0] / sigma;
  }
  shades_make(p);
  alone_make(p);
}

/* One row's part in each column: only of those that have one there, in order. */
typedef struct row {
  size_t n, which[COLUMNS_MAX];
  double much[COLUMNS_MAX];
} row;

static void row_put(row *out, size_t which, double much) {
  if (fabs(much) < 1e-9) return;
  out->which[out->n] = which;
  out->much[out->n++] = much;
}

/* What is solved for. */
static void row_own(const dw__model *p, const place *at, size_t k, row *out) {
  size_t per = 2 * p->layers - 1;
  out->n = 0;
  for (size_t l = 0; l < per; l++)
    row_put(out, k * per + l, l < p->layers ? at->weight[l] : at->bump[l - p->layers]);
  for (size_t b = 0; b + 1 < p->layers; b++) row_put(out, 3 * per + b, at->bent[b][k]);
}

/* What the layers and their blends have at a place, by what was solved last. */
static double mixture(const dw__model *p, const place *at, size_t k) {
  double sum = at->off[k];
  row own;
  row_own(p, at, k, &own);
  for (size_t a = 0; a < own.n; a++) sum += p->coefficient[own.which[a]] * own.much[a];
  return sum;
}

/* The columns' products; and each one's with the shades, by which these are taken out of them. */
typedef struct products {
  size_t n;
  double of[COLUMNS_MAX * COLUMNS_MAX], shade[DW__SHADES][COLUMNS_ROOM];
} products;

/* The first of the streaks that reach place j: no more than two do. */
static size_t streak_at(size_t j) {
  size_t twice = (2 * j + 1) * DW__STREAKS / DW__ACROSS, first = twice > 1 ? (twice - 1) / 2 : 0;
  return DW__FORMS + (first < DW__STREAKS - 1 ? first : DW__STREAKS - 2);
}

static void row_add(const dw__model *p, size_t j, size_t k, row *r, products *out) {
  const double *shade = p->shade[j][k];
  const size_t streak = streak_at(j);
  for (size_t a = 0; a < r->n; a++) r->much[a] *= p->weight[j][k];
  for (size_t a = 0; a < r->n; a++) {
    double much = r->much[a], *of = out->of + r->which[a] * out->n;
    for (size_t b = 0; b <= a; b++) of[r->which[b]] += much * r->much[b];
    for (size_t s = 0; s < DW__FORMS; s++) out->shade[s][r->which[a]] += much * shade[s];
    for (size_t s = streak; s < streak + 2; s++) out->shade[s][r->which[a]] += much * shade[s];
  }
}

/* The square of a prior's row, which has 1 / prior in one column and `wanted` / prior in the last. */
static void prior_add(products *out, size_t which, double prior, double wanted) {
  size_t last = out->n - 1;
  double square = 1 / (prior * prior);
  out->of[which * out->n + which] += square;
  out->of[last * out->n + which] += square * wanted;
  out->of[last * out->n + last] += square * wanted * wanted;
}

/* Priors of what is free; where its moves have no columns, what it is off by counts alone. */
static void free_priors(const dw__model *p, const double *free, size_t moves, products *out) {
  size_t borders = p->layers - 1, last = out->n - 1;
  for (size_t i = borders; i < 3 * borders; i++) {
    double prior = i < 2 * borders ? HALF_PRIOR : RATIO_PRIOR,
           wanted = (i < 2 * borders ? log(HALF_USUAL) : 0) - free[i];
    if (moves)
      prior_add(out, own_of(p) + i, prior, wanted);
    else
      out->of[last * out->n + last] += wanted * wanted / (prior * prior);
  }
}

/* Sums of much[k step] * rows[k][i] over n rows, for BLOCK columns: as many as registers hold. */
static void rows_sum(const double *much, size_t step, size_t n, const double *rows, double out[BLOCK]) {
  typedef double two __attribute__((vector_size(2 * sizeof(double))));
  two sum[BLOCK / 2] = {{0}}, at;
  for (size_t k = 0; k < n; k++, much += step, rows += COLUMNS_ROOM)
    for (size_t i = 0; i < BLOCK / 2; i++) {
      memcpy(&at, rows + 2 * i, sizeof at);
      sum[i] += *much * at;
    }
  memcpy(out, sum, sizeof sum);
}

/* The factor solved for all columns at once, and what they have of each shade taken off their products. */
static void shades_leave(const dw__model *p, products *q) {
  double sum[BLOCK];
  for (size_t c = 0; c < q->n; c += BLOCK)
    for (size_t s = 0; s < DW__SHADES; s++) {
      const double *factor = p->shades_factor + s * DW__SHADES, part = 1 / factor[s];
      rows_sum(factor, 1, s, &q->shade[0][c], sum);
      for (size_t i = 0; i < BLOCK; i++) q->shade[s][c + i] = (q->shade[s][c + i] - sum[i]) * part;
    }
  for (size_t a = 0; a < q->n; a++)
    for (size_t c = 0; c <= a; c += BLOCK) {
      rows_sum(&q->shade[0][a], COLUMNS_ROOM, DW__SHADES, &q->shade[0][c], sum);
      for (size_t b = c; b <= a && b < c + BLOCK; b++) q->of[a * q->n + b] -= sum[b - c];
    }
}

/* How far each of what is free is moved for a difference. */
static double delta_of(const dw__model *p, size_t i) {
  return i < p->layers - 1 ? 2e-3 : 2e-2;
}

/* Which layer is alone at place j, so that a small move changes nothing; `layers` where none is. */
static size_t alone_at(const dw__model *p, const blend *blends, size_t j) {
  double t = ((double)j + .5) / DW__ACROSS;
  size_t layer = 0;
  for (size_t k = 0; k + 1 < p->layers; k++) {
    if (t > blends[k].at - blends[k].half && t < blends[k].at + blends[k].half) return p->layers;
    layer += t >= blends[k].at + blends[k].half;
  }
  return layer;
}

/* The rows of the places from `from` to before `to`, where one layer is alone. */
static void alone_add(const dw__model *p, size_t layer, size_t from, size_t to, products *out) {
  const size_t per = 2 * p->layers - 1, last = out->n - 1;
  for (size_t k = 0; k < 3; k++) {
    const dw__alone *a = &p->alone[from][k], *b = &p->alone[to][k];
    const size_t own = k * per + layer;
    out->of[own * out->n + own] += b->layer - a->layer;
    out->of[last * out->n + own] += b->both - a->both;
    out->of[last * out->n + last] += b->profile - a->profile;
    for (size_t s = 0; s < DW__SHADES; s++) {
      out->shade[s][own] += b->layer_shade[s] - a->layer_shade[s];
      out->shade[s][last] += b->profile_shade[s] - a->profile_shade[s];
    }
  }
}

/* The rows of place j.  blends  as they are, then with each of `moves` moved */
static void place_add(const dw__model *p, size_t j, const blend (*blends)[DW__BORDERS_MAX], size_t moves,
                      products *out) {
  size_t own = own_of(p);
  double t = ((double)j + .5) / DW__ACROSS;
  place at[1 + DW__FREE_MAX];
  for (size_t i = 0; i <= moves; i++) weights_at(p, blends[i], t, &at[i]);
  for (size_t k = 0; k < 3; k++) {
    row r;
    double now = moves ? mixture(p, &at[0], k) : 0;
    row_own(p, &at[0], k, &r);
    for (size_t i = 0; i < moves; i++)
      row_put(&r, own + i, (mixture(p, &at[1 + i], k) - now) / delta_of(p, i));
    row_put(&r, own + moves, p->strip->profile[j][k] - at[0].off[k]);
    row_add(p, j, k, &r, out);
  }
}

static void places_add(const dw__model *p, const blend (*blends)[DW__BORDERS_MAX], size_t moves,
                       products *out) {
  for (size_t j = 0, end; j < DW__ACROSS; j = end) {
    const size_t layer = alone_at(p, blends[0], j);
    for (end = j + 1; end < DW__ACROSS && alone_at(p, blends[0], end) == layer; end++) continue;
    if (layer < p->layers)
      alone_add(p, layer, j, end, out);
    else
      for (size_t i = j; i < end; i++) place_add(p, i, blends, moves, out);
  }
}

/* The Cholesky factor of all columns' products, the shades taken out; false where there is none.
 * moves  how many of what is free have a column: all or none */
static bool factor(const dw__model *p, const double *free, size_t moves, products *out) {
  size_t own = own_of(p);
  blend blends[1 + DW__FREE_MAX][DW__BORDERS_MAX];
  *out = (products){.n = own + moves + 1};
  blends_make(p, free, blends[0]);
  for (size_t i = 0; i < moves; i++) {
    double moved[DW__FREE_MAX];
    memcpy(moved, free, moves * sizeof *moved);
    moved[i] += delta_of(p, i);
    blends_make(p, moved, blends[1 + i]);
  }
  places_add(p, (const blend(*)[DW__BORDERS_MAX])blends, moves, out);
  for (size_t i = 0; i < own; i++) prior_add(out, i, prior_of(p, i), 0);
  for (size_t i = own; i < out->n; i++) out->of[i * out->n + i] += 1e-9;
  free_priors(p, free, moves, out);
  shades_leave(p, out);
  return dw_cholesky(out->of, out->n, NULL) == DW_OK;
}

double dw__model_solve(dw__model *p, const double *free) {
  products q;
  double x[DW__OWN_MAX + 1] = {0};
  if (!factor(p, free, 0, &q)) return INFINITY;
  const double *last = q.of + (q.n - 1) * q.n;
  memcpy(x, last, (q.n - 1) * sizeof *x);
  dw_cholesky_solve_transposed(q.of, q.n, x); /* the profile's own is 0 */
  memcpy(p->coefficient, x, (q.n - 1) * sizeof *x);
  return last[q.n - 1] * last[q.n - 1];
}

bool dw__model_slopes(const dw__model *p, const double *free, double normal[DW__FREE_MAX * DW__FREE_MAX],
                      double right[DW__FREE_MAX]) {
  products q;
  size_t own = own_of(p), moves = 3 * (p->layers - 1);
  if (!factor(p, free, moves, &q)) return false;
  for (size_t i = 0; i <= moves; i++) {
    const double *x = q.of + (own + i) * q.n + own;
    for (size_t k = 0; k <= i && k < moves; k++) {
      const double *y = q.of + (own + k) * q.n + own;
      double sum = 0;
      for (size_t l = 0; l <= k; l++) sum += x[l] * y[l];
      if (i == moves)
        right[k] = sum;
      else
        normal[i * moves + k] = normal[k * moves + i] = sum;
    }
  }
  return true;
}
