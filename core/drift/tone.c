/* Tones: an ellipsoid of natural colors, and the point in it nearest to a color. */
#include "dropwise/drift.h"
#include "dropwise/numeric.h"

#include <math.h>
#include <string.h>

/* 95% of a normal distribution in three dimensions lie within this many deviations: the square root of chi
 * square's 95% point at 3 degrees of freedom, 7.815 (any table of it). */
#define REACH 2.7955
/* References say little of how a tone varies while they are few: the deviation leans on this one, in
 * CIEDE2000, as if PRIOR_COLORS more had shown it, and its shape on a sphere as if SPHERE_COLORS more had. */
#define PRIOR_SD 1.5
#define PRIOR_COLORS 2.0
#define SPHERE_COLORS 4.0
#define FLOOR_SD 0.5 /* nothing natural is more even than photos can tell */
enum { NEWTON_STEPS = 100 };

static void turn(const double m[9], const double v[3], double out[3]) {
  for (size_t r = 0; r < 3; r++) out[r] = m[3 * r] * v[0] + m[3 * r + 1] * v[1] + m[3 * r + 2] * v[2];
}

static bool invert(const double m[9], double out[9]) {
  double cofactor[9];
  for (size_t r = 0; r < 3; r++)
    for (size_t c = 0; c < 3; c++) {
      size_t r1 = (r + 1) % 3, r2 = (r + 2) % 3, c1 = (c + 1) % 3, c2 = (c + 2) % 3;
      cofactor[3 * r + c] = m[3 * r1 + c1] * m[3 * r2 + c2] - m[3 * r1 + c2] * m[3 * r2 + c1];
    }
  double det = m[0] * cofactor[0] + m[1] * cofactor[1] + m[2] * cofactor[2];
  if (!(fabs(det) > 0)) return false;
  for (size_t r = 0; r < 3; r++)
    for (size_t c = 0; c < 3; c++) out[3 * r + c] = cofactor[3 * c + r] / det;
  return true;
}

static dw_lab mean_of(const dw_lab *colors, size_t n) {
  dw_lab mean = {0};
  for (size_t i = 0; i < n; i++) {
    mean.L += colors[i].L / (double)n;
    mean.a += colors[i].a / (double)n;
    mean.b += colors[i].b / (double)n;
  }
  return mean;
}

/* Covariance about the center in the CIEDE2000 metric there, drawn toward a sphere. */
static void covariance(const dw_tone_range *tone, const dw_lab *colors, double out[9]) {
  double squares[9] = {0}, own = (double)(tone->n - 1);
  for (size_t i = 0; i < tone->n; i++) {
    const double d[3] = {colors[i].L - tone->center.L, colors[i].a - tone->center.a,
                         colors[i].b - tone->center.b};
    double v[3];
    turn(tone->metric, d, v);
    for (size_t r = 0; r < 3; r++)
      for (size_t c = 0; c < 3; c++) squares[3 * r + c] += v[r] * v[c];
  }
  double shared = ((squares[0] + squares[4] + squares[8]) / 3 + PRIOR_COLORS * PRIOR_SD * PRIOR_SD) /
                  (own + PRIOR_COLORS);
  for (size_t k = 0; k < 9; k++)
    out[k] = (squares[k] + (k % 4 == 0 ? SPHERE_COLORS * shared : 0)) / (own + SPHERE_COLORS);
}

dw_status dw_tone_fit(const dw_lab *colors, size_t n, dw_tone_range *out, dw_error *err) {
  if (n == 0) return dw_fail(err, DW_TOO_FEW, "The tone has no color yet.");
  dw_tone_range tone = {.n = n, .center = mean_of(colors, n)};
  double values[3];
  dw_de00_metric(tone.center, tone.metric);
  if (!invert(tone.metric, tone.back))
    return dw_fail(err, DW_BAD_INPUT, "The tone's colors are out of range.");
  covariance(&tone, colors, tone.axis);
  dw_status status = dw_symmetric_eigen(tone.axis, 3, values, err);
  if (status != DW_OK) return status;
  for (size_t i = 0; i < 3; i++) tone.half[i] = REACH * fmax(sqrt(fmax(values[i], 0)), FLOOR_SD);
  *out = tone;
  return DW_OK;
}

/* How much further out than the surface the point z lies along the normal through its nearest point: the root
 * t of sum (a z / (a^2 + t))^2 = 1.  The sum falls and is convex in t, so Newton's steps from 0 come up to
 * the root from below. */
static double solve_offset(const double half[3], const double z[3]) {
  double t = 0;
  for (int step = 0; step < NEWTON_STEPS; step++) {
    double sum = -1, slope = 0;
    for (size_t i = 0; i < 3; i++) {
      double bottom = half[i] * half[i] + t, q = half[i] * z[i] / bottom;
      sum += q * q;
      slope -= 2 * q * q / bottom;
    }
    if (!(sum > 1e-13)) break;
    t -= sum / slope;
  }
  return t;
}

void dw_tone_place(const dw_tone_range *tone, dw_lab color, dw_tone_spot *out) {
  const double d[3] = {color.L - tone->center.L, color.a - tone->center.a, color.b - tone->center.b};
  double v[3], z[3], p[3], back[3], squares = 0;
  turn(tone->metric, d, v);
  turn(tone->axis, v, z);
  for (size_t i = 0; i < 3; i++) squares += z[i] * z[i] / (tone->half[i] * tone->half[i]);
  *out = (dw_tone_spot){.inside = squares <= 1, .share = sqrt(squares), .nearest = color};
  if (out->inside) return;
  double t = solve_offset(tone->half, z);
  for (size_t i = 0; i < 3; i++)
    p[i] = tone->half[i] * tone->half[i] * z[i] / (tone->half[i] * tone->half[i] + t);
  for (size_t c = 0; c < 3; c++)
    v[c] = tone->axis[c] * p[0] + tone->axis[3 + c] * p[1] + tone->axis[6 + c] * p[2];
  turn(tone->back, v, back);
  out->nearest = (dw_lab){tone->center.L + back[0], tone->center.a + back[1], tone->center.b + back[2]};
  out->away_de00 = dw_de00(color, out->nearest);
}

void dw_tone_words(const char *name, dw_lab color, const dw_tone_spot *spot, char *out, size_t room) {
  char excess[80];
  dw_excess_words(color, spot->nearest, excess, sizeof excess);
  if (spot->inside)
    snprintf(out, room, "inside the natural tone \"%.80s\"", name);
  else
    snprintf(out, room, "%.1f outside the natural tone \"%.80s\": %s", spot->away_de00, name, excess);
}

/* ---- the hue held -------------------------------------------------------------------------------------- */

#define GRAY_CHROMA 5.0 /* a color below has no hue worth holding */
enum { ROUND_STEPS = 720 };

/* A step in Lab in units of the tone's half axes. */
static void in_halves(const dw_tone_range *tone, const double d[3], double out[3]) {
  double v[3], z[3];
  turn(tone->metric, d, v);
  turn(tone->axis, v, z);
  for (size_t i = 0; i < 3; i++) out[i] = z[i] / tone->half[i];
}

static double dot3(const double a[3], const double b[3]) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/* The ellipse in which the tone cuts the plane of one hue: center and two half axes in lightness and chroma.
 */
typedef struct cut {
  double center[2], half[2][2];
} cut;

/* |from + L e + C u|^2 <= 1 completed to a square. False where the plane misses the tone. */
static bool cut_make(const double from[3], const double e[3], const double u[3], cut *out) {
  const double a = dot3(e, e), b = dot3(e, u), c = dot3(u, u), det = a * c - b * b;
  const double L = (b * dot3(u, from) - c * dot3(e, from)) / det;
  const double C = (b * dot3(e, from) - a * dot3(u, from)) / det;
  const double left = 1 - (dot3(from, from) + L * dot3(e, from) + C * dot3(u, from));
  if (!(det > 0) || !(left > 0)) return false;
  const double r = sqrt(left / a), s = sqrt(left * a / det);
  *out = (cut){{L, C}, {{r, 0}, {-s * b / a, s}}};
  return true;
}

static dw_lab on_cut(const cut *edge, double cosine, double sine, int step) {
  const double t = 6.283185307179586 * step / ROUND_STEPS, p = cos(t), q = sin(t);
  const double L = edge->center[0] + p * edge->half[0][0] + q * edge->half[1][0];
  const double C = edge->center[1] + p * edge->half[0][1] + q * edge->half[1][1];
  return (dw_lab){L, C * cosine, C * sine};
}

dw_lab dw_tone_lead(const dw_tone_range *tone, dw_lab color) {
  dw_tone_spot spot;
  cut edge;
  dw_tone_place(tone, color, &spot);
  const double chroma = hypot(color.a, color.b), cosine = color.a / chroma, sine = color.b / chroma;
  if (spot.inside || chroma < GRAY_CHROMA) return spot.nearest;
  const double base[3] = {-tone->center.L, -tone->center.a, -tone->center.b};
  const double lightness[3] = {1, 0, 0}, hue[3] = {0, cosine, sine};
  double from[3], e[3], u[3], best = INFINITY;
  in_halves(tone, base, from);
  in_halves(tone, lightness, e);
  in_halves(tone, hue, u);
  if (!cut_make(from, e, u, &edge)) return spot.nearest;
  dw_lab lead = spot.nearest;
  for (int step = 0; step < ROUND_STEPS; step++) {
    const dw_lab at = on_cut(&edge, cosine, sine, step);
    const double away = at.a * cosine + at.b * sine > 0 ? dw_de00(color, at) : INFINITY;
    if (away < best) best = away, lead = at;
  }
  return lead;
}
