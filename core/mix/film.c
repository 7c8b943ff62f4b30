/* A film of unknown thickness, and the same plastic at a bait's. docs/drizzle.md#from-a-film-to-a-bait
 *
 * Unknown are the film's thickness, how far each bottle's part is off, and what the film lies on; all are counted in
 * their own standard deviations, so that beforehand each is a unit normal.  For every likely fit of the bottles (the
 * posterior draws), with parts off as usual or as by a slip, the point that explains the film best is sought by
 * Gauss-Newton; around it all is taken as linear (Laplace's approximation), and the points are weighed by how well
 * they explain what was seen. */
#include "dropwise/mix_film.h"

#include "dropwise/numeric.h"
#include "mix/km.h"

#include <math.h>
#include <string.h>

#define USUAL_MM 1.5       /* of a drizzled drop's middle: the median, and */
#define USUAL_SPREAD 0.7   /* one standard deviation of its logarithm (assumptions) */
#define PART_SD 0.12       /* of the logarithm of a bottle's part, unless its strength is known less well */
#define SLIP_TIMES 4.0     /* as much more when a slip was made, */
#define SLIP_CHANCE 0.15   /* which happens so often (assumptions) */
#define TABLE_SD 0.03      /* of the table's reflectance, as a share: what a card tells of white */
#define MODEL_SD_DE00 0.8  /* what the mixing model misses (docs/mixing-model.md), film and bait each */
#define OFF_LEAST_DE00 8.0 /* a film nearer than this to its drops' color is never called another's, */
#define OFF_SIGMAS 3.0     /* nor one within so many of the reading's deviations */
#define NEWS_MOST 0.9      /* of the doubt without the film: with more left, the film said nothing */
#define SLOPE_STEP 0.02    /* for slopes by differences, standard deviations */

enum { UNKNOWN_MAX = DW_CUP_BOTTLES_MAX + 2, SCAN = 25, STEPS = 8, HALVINGS = 5, SLIPS = 2 };

typedef struct film_case {
  const dw_shelf *shelf;
  const dw_recipe *loadings;
  const dw_slab *bait;
  const dw_film_look *look;
  dw_surface wet; /* no air between film and table */
  double metric[9], sd;
  size_t n;    /* unknowns: thickness, parts, table */
  int draw;    /* of the bottles' spectra; -1: the best estimate */
  double slip; /* 1, or SLIP_TIMES */
} film_case;

/* One way to explain the film. */
typedef struct explained {
  double x[UNKNOWN_MAX];
  double evidence; /* ln */
  dw_lab bait;
  double thickness_variance; /* of its logarithm */
  double square_de00;        /* of the bait's color */
} explained;

static double part_sd(const film_case *c, size_t part) {
  return c->slip * fmax(c->shelf->bottle[c->loadings->part[part].bottle].strength_sd, PART_SD);
}

static double thickness_of(double x) {
  return USUAL_MM * exp(USUAL_SPREAD * x);
}

static dw_lab color_of(const film_case *c, const double *x, const dw_surface *surface, const dw_slab *slab) {
  const dw_shelf *shelf = c->shelf;
  dw_spectra mix = c->draw >= 0 && shelf->base_draws ? shelf->base_draws[c->draw] : shelf->base;
  for (size_t i = 0; i < c->loadings->n; i++) {
    const dw_bottle *bottle = &shelf->bottle[c->loadings->part[i].bottle];
    double amount = c->loadings->part[i].amount * bottle->strength * exp(part_sd(c, i) * x[1 + i]);
    dw__spectra_add(&mix, amount, c->draw >= 0 && bottle->draws ? &bottle->draws[c->draw] : &bottle->spectra);
  }
  double R[DW_BANDS];
  dw__km view = dw__km_view(surface, slab);
  dw__km_bands(&view, mix.k, mix.s, R);
  return dw_lab_from_xyz(dw_xyz_from_bands(R));
}

static dw_lab film_color(const film_case *c, const double *x) {
  dw_slab slab = {thickness_of(x[0]), fmin(c->look->table * exp(TABLE_SD * x[c->n - 1]), 1)};
  return color_of(c, x, &c->wet, &slab);
}

static dw_lab bait_color(const film_case *c, const double *x) {
  return color_of(c, x, &c->shelf->surface, c->bait);
}

/* Slopes of a color's CIEDE2000 parts along every unknown. */
static void slopes(const film_case *c, dw_lab (*color)(const film_case *, const double *), const double *x,
                   const double metric[9], double J[3][UNKNOWN_MAX]) {
  double at[UNKNOWN_MAX], part[3];
  memcpy(at, x, sizeof at);
  for (size_t i = 0; i < c->n; i++) {
    at[i] = x[i] - SLOPE_STEP;
    dw_lab less = color(c, at);
    at[i] = x[i] + SLOPE_STEP;
    dw_de00_parts(metric, less, color(c, at), part);
    at[i] = x[i];
    for (int r = 0; r < 3; r++) J[r][i] = part[r] / (2 * SLOPE_STEP);
  }
}

static void residual(const film_case *c, const double *x, double r[3]) {
  dw_de00_parts(c->metric, c->look->lab, film_color(c, x), r);
  for (int k = 0; k < 3; k++) r[k] /= c->sd;
}

static double cost(const film_case *c, const double *x) {
  double r[3], sum = 0;
  residual(c, x, r);
  for (int k = 0; k < 3; k++) sum += r[k] * r[k];
  for (size_t i = 0; i < c->n; i++) sum += x[i] * x[i];
  return sum;
}

/* The Cholesky factor of 1 + J J', 3 x 3: of the residual's own covariance. */
static dw_status spread_factor(double J[3][UNKNOWN_MAX], size_t n, double L[9], dw_error *err) {
  for (size_t r = 0; r < 3; r++)
    for (size_t s = 0; s < 3; s++) {
      L[3 * r + s] = r == s;
      for (size_t i = 0; i < n; i++) L[3 * r + s] += J[r][i] * J[s][i];
    }
  return dw_cholesky(L, 3, err);
}

static void film_slopes(const film_case *c, const double *x, double J[3][UNKNOWN_MAX]) {
  slopes(c, film_color, x, c->metric, J);
  for (int r = 0; r < 3; r++)
    for (size_t i = 0; i < c->n; i++) J[r][i] /= c->sd;
}

/* Where the line from x leads to the least cost as far as all is linear: -J' (1 + J J')^-1 (r - J x). */
static dw_status step_to(const film_case *c, const double *x, double J[3][UNKNOWN_MAX], double *to,
                         dw_error *err) {
  double r[3], L[9];
  residual(c, x, r);
  for (int k = 0; k < 3; k++)
    for (size_t i = 0; i < c->n; i++) r[k] -= J[k][i] * x[i];
  dw_status status = spread_factor(J, c->n, L, err);
  if (status != DW_OK) return status;
  dw_cholesky_solve(L, 3, r, 1);
  for (size_t i = 0; i < c->n; i++) to[i] = -(J[0][i] * r[0] + J[1][i] * r[1] + J[2][i] * r[2]);
  return DW_OK;
}

/* The thickness alone that explains the film best. */
static void start_scan(const film_case *c, double *x) {
  double least = INFINITY, at[UNKNOWN_MAX] = {0};
  memset(x, 0, UNKNOWN_MAX * sizeof *x);
  for (int i = 0; i < SCAN; i++) {
    at[0] = -4 + 8.0 * i / (SCAN - 1);
    double own = cost(c, at);
    if (own < least) least = own, x[0] = at[0];
  }
}

/* out->x from a start to the least cost, and what is said of the bait there. */
static dw_status explain(const film_case *c, const double *start, explained *out, dw_error *err) {
  double J[3][UNKNOWN_MAX], B[3][UNKNOWN_MAX], L[9], metric[9], to[UNKNOWN_MAX] = {0};
  memcpy(out->x, start, sizeof out->x);
  double now = cost(c, out->x);
  for (int step = 0; step < STEPS; step++) {
    film_slopes(c, out->x, J);
    dw_status status = step_to(c, out->x, J, to, err);
    if (status != DW_OK) return status;
    double before = now, share = 1, at[UNKNOWN_MAX] = {0};
    for (int k = 0; k < HALVINGS; k++, share /= 2) {
      for (size_t i = 0; i < c->n; i++) at[i] = out->x[i] + share * (to[i] - out->x[i]);
      now = cost(c, at);
      if (now < before) break;
    }
    if (!(now < before)) {
      now = before;
      break;
    }
    memcpy(out->x, at, sizeof at);
    if (before - now < 1e-3) break;
  }
  film_slopes(c, out->x, J);
  dw_status status = spread_factor(J, c->n, L, err);
  if (status != DW_OK) return status;
  out->evidence = -now / 2 - log(L[0]) - log(L[4]) - log(L[8]);
  out->bait = bait_color(c, out->x);
  dw_de00_metric(out->bait, metric);
  slopes(c, bait_color, out->x, metric, B);
  out->square_de00 = MODEL_SD_DE00 * MODEL_SD_DE00;
  for (int r = -1; r < 3; r++) { /* -1: the thickness; B (1 - J' (1 + J J')^-1 J) B' */
    double square = 0, own[3] = {0}, solved[3];
    for (size_t i = 0; i < c->n; i++) {
      double b = r < 0 ? i == 0 : B[r][i];
      square += b * b;
      for (int k = 0; k < 3; k++) own[k] += b * J[k][i];
    }
    memcpy(solved, own, sizeof solved);
    dw_cholesky_solve(L, 3, solved, 1);
    for (int k = 0; k < 3; k++) square -= own[k] * solved[k];
    if (r < 0)
      out->thickness_variance = USUAL_SPREAD * USUAL_SPREAD * fmax(square, 0);
    else
      out->square_de00 += fmax(square, 0);
  }
  return DW_OK;
}

/* ---- all explanations together ---------------------------------------------------------------------------- */

typedef struct explanations {
  size_t n;
  explained one[DW_DRAWS * SLIPS];
  double weight[DW_DRAWS * SLIPS]; /* sum 1 */
} explanations;

static dw_status explain_all(film_case *c, explanations *all, dw_error *err) {
  static const double slip[SLIPS] = {1, SLIP_TIMES};
  bool drawn = c->shelf->base_draws != NULL;
  double start[UNKNOWN_MAX];
  c->draw = -1, c->slip = 1;
  start_scan(c, start);
  for (int d = drawn ? 0 : -1; d < (drawn ? DW_DRAWS : 0); d++)
    for (size_t s = 0; s < SLIPS; s++) {
      explained *to = &all->one[all->n++];
      c->draw = d, c->slip = slip[s];
      dw_status status = explain(c, start, to, err);
      if (status != DW_OK) return status;
      to->evidence += log((s ? SLIP_CHANCE : 1 - SLIP_CHANCE) / (drawn ? DW_DRAWS : 1));
    }
  return DW_OK;
}

/* Their weights by how well they explain; returns the ln of all evidence. */
static double weigh(explanations *all) {
  double most = -INFINITY, sum = 0;
  for (size_t i = 0; i < all->n; i++) most = fmax(most, all->one[i].evidence);
  for (size_t i = 0; i < all->n; i++) sum += all->weight[i] = exp(all->one[i].evidence - most);
  for (size_t i = 0; i < all->n; i++) all->weight[i] /= sum;
  /* cppcheck-suppress invalidFunctionArg ; there is one at least, and the best adds 1 */
  return most + log(sum);
}

static void join_colors(const explanations *all, dw_film *out) {
  double square = 0;
  out->lab = (dw_lab){0};
  for (size_t i = 0; i < all->n; i++) {
    out->lab.L += all->weight[i] * all->one[i].bait.L;
    out->lab.a += all->weight[i] * all->one[i].bait.a;
    out->lab.b += all->weight[i] * all->one[i].bait.b;
  }
  for (size_t i = 0; i < all->n; i++) {
    double off = dw_de00(out->lab, all->one[i].bait);
    square += all->weight[i] * (all->one[i].square_de00 + off * off);
  }
  out->doubt_de00 = sqrt(square);
}

static void join_thickness(const explanations *all, dw_film *out) {
  double mean = 0, square = 0;
  for (size_t i = 0; i < all->n; i++) mean += all->weight[i] * log(thickness_of(all->one[i].x[0]));
  for (size_t i = 0; i < all->n; i++) {
    double off = log(thickness_of(all->one[i].x[0])) - mean;
    square += all->weight[i] * (all->one[i].thickness_variance + off * off);
  }
  out->thickness_mm = exp(mean);
  out->thinnest_mm = exp(mean - sqrt(square));
  out->thickest_mm = exp(mean + sqrt(square));
}

/* ---- the drops alone ---------------------------------------------------------------------------------------- */

static dw_status by_drops(film_case *c, dw_film *out, dw_error *err) {
  dw_prediction predicted;
  dw_status status = dw_predict(c->shelf, c->loadings, c->bait, &predicted, err);
  if (status != DW_OK) return status;
  const double slips = 1 - SLIP_CHANCE + SLIP_CHANCE * SLIP_TIMES * SLIP_TIMES; /* of the variance */
  double x[UNKNOWN_MAX] = {0}, square = predicted.uncertainty_de00 * predicted.uncertainty_de00;
  c->draw = -1, c->slip = 1;
  for (size_t i = 0; i < c->loadings->n; i++) {
    x[1 + i] = 1;
    double off = dw_de00(predicted.lab, bait_color(c, x));
    square += slips * off * off;
    x[1 + i] = 0;
  }
  out->predicted = predicted.lab;
  out->predicted_doubt_de00 = sqrt(square + MODEL_SD_DE00 * MODEL_SD_DE00);
  start_scan(c, x);
  out->off_de00 = dw_de00(c->look->lab, film_color(c, x));
  return DW_OK;
}

static bool fitted(const dw_shelf *shelf, const dw_recipe *loadings) {
  for (size_t i = 0; i < loadings->n; i++)
    if (shelf->bottle[loadings->part[i].bottle].origin != DW_ORIGIN_FITTED) return false;
  return true;
}

static dw_film_verdict judged(const film_case *c, const dw_film *film) {
  if (film->off_de00 > fmax(OFF_LEAST_DE00, OFF_SIGMAS * c->sd)) return DW_FILM_OTHER;
  if (film->doubt_de00 > DW_FILM_DOUBT_MOST_DE00) return DW_FILM_UNSURE;
  return film->doubt_de00 > NEWS_MOST * film->predicted_doubt_de00 ? DW_FILM_SILENT : DW_FILM_TOLD;
}

static dw_status judge(film_case *c, dw_film *out, dw_error *err) {
  explanations all;
  all.n = 0;
  dw_status status = by_drops(c, out, err);
  if (status == DW_OK) status = explain_all(c, &all, err);
  if (status != DW_OK) return status;
  out->evidence = weigh(&all);
  join_colors(&all, out);
  join_thickness(&all, out);
  out->verdict = judged(c, out);
  return DW_OK;
}

const char *dw_film_verdict_text(dw_film_verdict verdict) {
  static const char *const text[] = {"told", "unfitted", "other", "unsure", "silent"};
  return text[verdict];
}

dw_status dw_film_judge(const dw_shelf *shelf, const dw_recipe *loadings, const dw_slab *bait,
                        const dw_film_look *look, dw_film *out, dw_error *err) {
  dw_prediction unused;
  dw_film film = {.verdict = DW_FILM_UNFITTED};
  dw_status status = dw_predict(shelf, loadings, bait, &unused, err);
  if (status != DW_OK) return status;
  if (!(look->table > 0 && look->table <= 1))
    return dw_fail(err, DW_BAD_INPUT, "a table of reflectance %g is out of range: give 0 to 1", look->table);
  film_case c = {.shelf = shelf,
                 .loadings = loadings,
                 .bait = bait,
                 .look = look,
                 .wet = shelf->surface,
                 .sd = sqrt(look->doubt_de00 * look->doubt_de00 + MODEL_SD_DE00 * MODEL_SD_DE00),
                 .n = loadings->n + 2};
  c.wet.gap = 0;
  dw_de00_metric(look->lab, c.metric);
  if (fitted(shelf, loadings)) status = judge(&c, &film, err);
  if (status == DW_OK) *out = film;
  return status;
}
