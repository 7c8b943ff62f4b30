/* How far a layer's color travels with the angle, and how likely a plain bait shows as much.
 *
 * A plain bait does not look the same from every side either: more or less light falls on it, and its surface
 * mirrors some of the light's own color over it (Shafer, Color Res. Appl. 10 (1985) 210).  Both move a color on
 * known ways, and how far is taken as uncertain; what lies beyond that and beyond the readings' doubt is the
 * plastic's own. */
#include "dropwise/read_turn.h"

#include "dropwise/numeric.h"

#include <math.h>
#include <string.h>

/* One standard deviation each, assumptions: light on a bait turned by hand beside that on the card, and the mirror
 * light that is left in a reading whose gloss was set aside, as a share of a perfect white's. */
#define SHADE_SHARE 0.08
#define VEIL_SHARE 0.012
/* A C* is no hue below this many times its doubt. */
#define HUE_SURE 2.0
#define DEG (180 / 3.14159265358979323846)

typedef struct pair {
  double move[3], cov[9]; /* dL', dC', dH' by the metric in their middle, and their covariance */
  double metric[9];
  dw_lab middle;
} pair;

/* Uncertain by v, wholly along that way. */
static void cov_add(double cov[9], const double v[3]) {
  for (int i = 0; i < 9; i++) cov[i] += v[i / 3] * v[i % 3];
}

static void ways_add(pair *p) {
  double way[3];
  dw_xyz xyz = dw_xyz_from_lab(p->middle);
  double up = 1 + SHADE_SHARE;
  dw_de00_parts(p->metric, p->middle, dw_lab_from_xyz((dw_xyz){up * xyz.X, up * xyz.Y, up * xyz.Z}), way);
  cov_add(p->cov, way);
  dw_xyz veiled = {xyz.X + VEIL_SHARE * DW_D50_X, xyz.Y + VEIL_SHARE * DW_D50_Y,
                   xyz.Z + VEIL_SHARE * DW_D50_Z};
  dw_de00_parts(p->metric, p->middle, dw_lab_from_xyz(veiled), way);
  cov_add(p->cov, way);
}

/* A doubt in CIEDE2000 is the length of a vector with three parts alike. */
static void pair_make(const dw_turn_view *a, const dw_turn_view *b, double repeat, pair *out) {
  *out = (pair){.middle = {(a->lab.L + b->lab.L) / 2, (a->lab.a + b->lab.a) / 2, (a->lab.b + b->lab.b) / 2}};
  double own = hypot(a->own_de00, b->own_de00);
  double light = isnan(repeat) ? hypot(a->light_de00, b->light_de00) : repeat;
  dw_de00_metric(out->middle, out->metric);
  dw_de00_parts(out->metric, a->lab, b->lab, out->move);
  for (int i = 0; i < 3; i++) out->cov[4 * i] = (own * own + light * light) / 3;
  ways_add(out);
}

/* Squared length of the move beside its doubt; infinite where the doubt is nothing. */
static double distance(const pair *p) {
  double low[9], solved[3];
  memcpy(low, p->cov, sizeof low);
  memcpy(solved, p->move, sizeof solved);
  if (dw_cholesky(low, 3, NULL) != DW_OK) return INFINITY;
  dw_cholesky_solve(low, 3, solved, 1);
  return p->move[0] * solved[0] + p->move[1] * solved[1] + p->move[2] * solved[2];
}

/* Deviation of the move along itself. */
static double doubt_along(const pair *p) {
  double length = sqrt(p->move[0] * p->move[0] + p->move[1] * p->move[1] + p->move[2] * p->move[2]), sum = 0;
  if (length <= 0) return sqrt((p->cov[0] + p->cov[4] + p->cov[8]) / 3);
  for (int i = 0; i < 9; i++) sum += p->move[i / 3] * p->move[i % 3] * p->cov[i];
  return sqrt(sum) / length;
}

static void hue_fill(const pair *p, const dw_turn_view *a, const dw_turn_view *b, dw_travel *out) {
  dw_lch from = dw_lch_from_lab(a->lab), to = dw_lch_from_lab(b->lab);
  double scale = hypot(p->metric[7], p->metric[8]),
         doubt = sqrt(p->cov[8]) / scale; /* across the hue, in Lab */
  out->hue_deg = out->hue_doubt_deg = NAN;
  if (fmin(from.C, to.C) < HUE_SURE * doubt) return;
  out->hue_deg = remainder(to.h - from.h, 360);
  out->hue_doubt_deg = DEG * doubt / ((from.C + to.C) / 2);
}

/* P(chi-square of 3 degrees of freedom >= x): that of F with a divisor that is known. */
static double chance_of(double x) {
  return isfinite(x) ? dw_f_upper_tail(x / 3, 3, 1e6) : 0;
}

static void words_fill(dw_lab from, dw_lab to, dw_travel *out) {
  char way[120];
  dw_difference_words(from, to, way, sizeof way);
  if (out->verdict == DW_TRAVEL_TRAVELS)
    snprintf(out->words, sizeof out->words, "Its color travels by %.1f (doubt %.1f): from one side it is %s.",
             out->de00, out->doubt_de00, way);
  else
    snprintf(out->words, sizeof out->words,
             "No travel beyond what light, gloss and these photos can make: %.1f, doubt %.1f.", out->de00,
             out->doubt_de00);
}

/* Why no verdict can be given; false when one can. */
static bool unclear(const dw_turn_view *views, size_t n, dw_travel *out) {
  bool lit = true;
  for (size_t i = 0; i < n; i++) lit = lit && views[i].lit;
  if (n >= 2 && lit) return false;
  *out = (dw_travel){.de00 = NAN,
                     .doubt_de00 = NAN,
                     .dl = NAN,
                     .dc = NAN,
                     .dh = NAN,
                     .hue_deg = NAN,
                     .hue_doubt_deg = NAN,
                     .p = 1};
  dw_copy_text(
      out->words, sizeof out->words,
      n < 2 ? "One photo can't tell whether the color travels: photograph the bait once more, turned."
            : "Without a card or gray in every photo the camera's own choices can't be told from travel.");
  return true;
}

static void pair_judge(const dw_turn_view *views, size_t i, size_t j, double repeat, double pairs,
                       dw_travel *out) {
  pair p;
  pair_make(&views[i], &views[j], repeat, &p);
  double chance = fmin(pairs * chance_of(distance(&p)), 1), de00 = dw_de00(views[i].lab, views[j].lab);
  if (chance > out->p || (chance == out->p && de00 <= out->de00)) return;
  dw_difference d = dw_difference_between(views[i].lab, views[j].lab);
  *out = (dw_travel){.from = i,
                     .to = j,
                     .de00 = d.de00,
                     .doubt_de00 = doubt_along(&p),
                     .dl = d.dl,
                     .dc = d.dc,
                     .dh = d.dh,
                     .p = chance,
                     .verdict = chance < DW_TRAVEL_CHANCE ? DW_TRAVEL_TRAVELS : DW_TRAVEL_STEADY};
  hue_fill(&p, &views[i], &views[j], out);
}

dw_status dw_travel_judge(const dw_turn_view *views, size_t n, const double *repeat, dw_travel *out,
                          dw_error *err) {
  if (n < 1 || n > DW_TURN_PHOTOS_MAX)
    return dw_fail(err, DW_BAD_INPUT, "A bait is read from 1 to %d sides, not %zu.", DW_TURN_PHOTOS_MAX, n);
  if (unclear(views, n, out)) return DW_OK;
  *out = (dw_travel){.de00 = -1, .p = 1};
  double pairs = (double)(n * (n - 1) / 2);
  for (size_t i = 0; i + 1 < n; i++)
    for (size_t j = i + 1; j < n; j++) pair_judge(views, i, j, repeat ? repeat[i * n + j] : NAN, pairs, out);
  words_fill(views[out->from].lab, views[out->to].lab, out);
  return DW_OK;
}

const char *dw_travel_verdict_text(dw_travel_verdict verdict) {
  static const char *const words[] = {"unclear", "steady", "travels"};
  return words[verdict];
}
