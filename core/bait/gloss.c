/* Streaks of gloss along a body, taken off the profile across it.
 *
 * A lamp mirrored in a round body runs along it as a bright line. It adds light of the lamp's color to what the
 * plastic gives (dichromatic reflection, Shafer 1985), so in linear light the line is what lies on both sides of
 * it, mixed, and white. A layer as slim whose color is just that is taken for gloss, too; wider ones are not. */
#include "bait/gloss.h"

#include "dropwise/color.h"

#include <math.h>
#include <string.h>

/* Places from one side of a streak to the other, both beside it. */
enum { ACROSS = DW_BAIT_PROFILE, WIDE = 8 };

/* It is lighter than what lies beside it by so much L*, and its color is explained to within so much, CIEDE2000
 * about, and such a share of that. */
#define LIGHTER_LEAST 4.0
#define OFF_MOST 1.5
#define OFF_SHARE 0.15
/* What is left of it may be off by such a share. */
#define LEFT_SHARE 0.3
/* A broad lobe's color is explained so well; the body may be shaded by such a share under it, which is tied to none
 * where it is so gray that shade and white look alike. White may fall below none by so much. */
#define LOBE_OFF 1.5
#define LOBE_OFF_SHARE 0.08
#define SHADE_MOST 0.3
#define SHADE_TIED 0.02
#define WHITE_UNDER 0.01
/* It is a bell: over .85 of its height it is at most so much as wide as over .15, and nowhere so much steeper than
 * straight sides would be. A layer is flat and begins with a step. */
#define BELL_MOST 0.42
#define STEEP_MOST 3.2
/* Its ends keep off the outline, and lie so many places apart at least; every second place is looked at. */
enum { OUTLINE = 2, BROAD = 8, STEP = 2, LOBES_MOST = 2 };

static void linear_of(const double c[3], double out[3]) {
  dw_linear_from_xyz(dw_xyz_from_lab((dw_lab){fmax(c[0], 0), c[1], c[2]}), out);
}

static double lightness_of(const double rgb[3]) {
  return dw_lab_from_xyz((dw_xyz){.Y = dw_xyz_from_linear(rgb).Y}).L;
}

static dw_lab lab_of(const double rgb[3], double less) {
  double at[3];
  for (int k = 0; k < 3; k++) at[k] = rgb[k] - less;
  return dw_lab_from_xyz(dw_xyz_from_linear(at));
}

/* The white in `rgb` beyond a mixture of two others, by least squares; half of each where both are alike, by the small
 * numbers. */
static double white_over(const double rgb[3], const double a[3], const double b[3], double mix[3]) {
  double d[3], e[3], dd = 1e-4, ds = 0, de = 5e-5, es = 0;
  for (int k = 0; k < 3; k++) {
    d[k] = a[k] - b[k], e[k] = rgb[k] - b[k];
    dd += d[k] * d[k], ds += d[k], de += d[k] * e[k], es += e[k];
  }
  double share = fmin(fmax((3 * de - ds * es) / (3 * dd - ds * ds), 0), 1);
  for (int k = 0; k < 3; k++) mix[k] = b[k] + share * d[k];
  return (es - share * ds) / 3;
}

/* The luminance of a lightness. */
static double luminance_of(double lightness) {
  return dw_xyz_from_lab((dw_lab){.L = lightness}).Y;
}

/* How much lighter gloss makes the place j, L*, and the white that it adds; 0 where it is none. */
static double gloss_at(double (*rgb)[3], double (*profile)[3], size_t j, double *white) {
  double most = 0, mix[3];
  dw_lab seen = {profile[j][0], profile[j][1], profile[j][2]};
  double darker = luminance_of(seen.L - LIGHTER_LEAST);
  for (size_t left = 1; left < WIDE && left <= j; left++)
    for (size_t right = 1; left + right <= WIDE && j + right < ACROSS; right++) {
      double over = white_over(rgb[j], rgb[j - left], rgb[j + right], mix);
      if (!(over > 0) || dw_xyz_from_linear(mix).Y > darker) continue;
      double lighter = seen.L - lightness_of(mix);
      if (dw_de00(seen, lab_of(mix, -over)) > OFF_MOST + OFF_SHARE * lighter) continue;
      most = lighter, *white = over;
      darker = luminance_of(seen.L - most);
    }
  return most;
}

/* ---- broad lobes -----------------------------------------------------------------------------------------
 */

/* What was seen at some places across, in linear light too. */
typedef struct across {
  double (*profile)[3], rgb[ACROSS][3];
} across;

/* The light of a lobe between two places. */
typedef struct lobe {
  size_t from, to;
  double sum, white[ACROSS];
} lobe;

/* White over a base that is shaded, by least squares. */
static double white_over_shaded(const double rgb[3], const double base[3], double lit[3]) {
  double bb = 1e-6, bs = 0, br = 0, rs = 0;
  for (int k = 0; k < 3; k++) bb += base[k] * base[k], bs += base[k], br += base[k] * rgb[k], rs += rgb[k];
  double tied = SHADE_TIED * bb, shade = (br + tied - bs * rs / 3) / (bb + tied - bs * bs / 3);
  shade = fmin(fmax(shade, 1 - SHADE_MOST), 1 + SHADE_MOST);
  for (int k = 0; k < 3; k++) lit[k] = shade * base[k];
  return (rs - shade * bs) / 3;
}

/* Whether the place j is what lies at both ends, shaded or mixed, and white; how much. */
static bool lobe_explains(const across *a, const lobe *l, size_t j, double *white) {
  double part = (double)(j - l->from) / (double)(l->to - l->from), base[3], lit[3];
  dw_lab seen = {a->profile[j][0], a->profile[j][1], a->profile[j][2]};
  for (int k = 0; k < 3; k++) base[k] = a->rgb[l->from][k] + part * (a->rgb[l->to][k] - a->rgb[l->from][k]);
  for (int way = 0; way < 2; way++) {
    *white = way ? white_over(a->rgb[j], a->rgb[l->from], a->rgb[l->to], lit)
                 : white_over_shaded(a->rgb[j], base, lit);
    if (*white < -WHITE_UNDER) continue;
    double lighter = seen.L - lightness_of(lit);
    if (dw_de00(seen, lab_of(lit, -*white)) <= LOBE_OFF + LOBE_OFF_SHARE * fmax(lighter, 0)) return true;
  }
  return false;
}

/* Whether a lobe may lie between two places: it is lighter there than at both; a layer's shoulder is no lobe. */
static bool stands_out(const across *a, const lobe *l) {
  double ends = fmax(a->profile[l->from][0], a->profile[l->to][0]);
  for (size_t j = l->from + 1; j < l->to; j++)
    if (a->profile[j][0] - ends > LIGHTER_LEAST) return true;
  return false;
}
static bool is_bell(const lobe *l) {
  double high = 0, wide = 0, most = 0, step = 0;
  for (size_t j = l->from + 1; j < l->to; j++) {
    most = fmax(most, l->white[j]);
    step = fmax(step, fabs(l->white[j + 1] - l->white[j - 1]) / 2);
  }
  for (size_t j = l->from + 1; j < l->to; j++)
    high += l->white[j] > .85 * most, wide += l->white[j] > .15 * most;
  return high <= BELL_MOST * wide && step * wide <= STEEP_MOST * most;
}

/* The white between the lobe's ends, looked for from the middle outward; false where it is no lobe. */
static bool lobe_fill(const across *a, lobe *l) {
  size_t middle = (l->from + l->to) / 2, half = (l->to - l->from) / 2;
  l->sum = 0;
  if (!stands_out(a, l)) return false;
  memset(l->white, 0, sizeof l->white);
  for (size_t i = 0; i < 2 * half - 1; i++) {
    size_t j = i % 2 ? middle + (i + 1) / 2 : middle - i / 2;
    if (!lobe_explains(a, l, j, &l->white[j])) return false;
    l->white[j] = fmax(l->white[j], 0);
    l->sum += l->white[j];
  }
  return is_bell(l);
}

/* The lobe with the most light. */
static bool lobe_find(const across *a, lobe *out) {
  lobe one;
  out->sum = 0;
  for (size_t from = OUTLINE; from + BROAD + OUTLINE < ACROSS; from += STEP)
    for (size_t to = from + BROAD; to + OUTLINE < ACROSS; to += STEP) {
      one = (lobe){.from = from, .to = to};
      if (lobe_fill(a, &one) && one.sum > out->sum) *out = one;
    }
  return out->sum > 0;
}

static void lobe_remove(across *a, const lobe *l, double noise[ACROSS]) {
  for (size_t j = l->from + 1; j < l->to; j++) {
    double *c = a->profile[j], seen = c[0];
    for (int k = 0; k < 3; k++) a->rgb[j][k] -= l->white[j];
    dw_lab left = lab_of(a->rgb[j], 0);
    c[0] = left.L, c[1] = left.a, c[2] = left.b;
    if (noise) noise[j] = hypot(noise[j], LEFT_SHARE * (seen - left.L));
  }
}

bool dw__lobes_remove(double profile[DW_BAIT_PROFILE][3], double noise[DW_BAIT_PROFILE]) {
  across a = {.profile = profile};
  lobe l;
  int n = 0;
  for (size_t j = 0; j < ACROSS; j++) linear_of(profile[j], a.rgb[j]);
  for (; n < LOBES_MOST && lobe_find(&a, &l); n++) lobe_remove(&a, &l, noise);
  return n > 0;
}

void dw__streaks_remove(double profile[DW_BAIT_PROFILE][3], double noise[DW_BAIT_PROFILE]) {
  double rgb[ACROSS][3], white[ACROSS] = {0}, lighter[ACROSS];
  for (size_t j = 0; j < ACROSS; j++) linear_of(profile[j], rgb[j]);
  for (size_t j = 0; j < ACROSS; j++) lighter[j] = gloss_at(rgb, profile, j, &white[j]);
  for (size_t j = 0; j < ACROSS; j++) {
    if (!(lighter[j] > 0)) continue;
    dw_lab left = lab_of(rgb[j], white[j]);
    profile[j][0] = left.L, profile[j][1] = left.a, profile[j][2] = left.b;
    if (noise) noise[j] = hypot(noise[j], LEFT_SHARE * lighter[j]);
  }
}
