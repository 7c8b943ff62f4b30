/* CIEDE2000 (CIE 142-2001), step by step as in Sharma, Wu, Dalal, Color Res. Appl. 30 (2005) 21; equation
 * numbers are theirs. */
#include "dropwise/color.h"

#include <math.h>

#define DEGREE 0.017453292519943295 /* pi / 180 */
#define COS_30 0.8660254037844386
#define SIN_30 0.5
#define COS_6 0.9945218953682733
#define SIN_6 0.10452846326765347
#define COS_63 0.45399049973954675
#define SIN_63 0.8910065241883679
/* Hues whose angle has a cosine above this are compared as vectors. */
#define NEAR_HUES (-0.9)

/* C^7 / (C^7 + 25^7), written so that neither a zero nor a huge chroma spoils it. */
static double seventh_share(double chroma) {
  double ratio = 25.0 / chroma, square = ratio * ratio;
  return 1.0 / (1.0 + square * square * square * ratio);
}

/* 1 + G, the stretch of a* (4). */
static double stretch_of_a(double mean_chroma) {
  return 1.5 - 0.5 * sqrt(seventh_share(mean_chroma));
}

/* Plain, because hypot guards against overflow that a color cannot reach, at a third of the run time. */
static double chroma_of(double a, double b) {
  return sqrt(a * a + b * b);
}

/* Hue angle in degrees, 0 to 360; 0 for no chroma (7). */
static double hue_degrees(double a, double b) {
  if (a == 0.0 && b == 0.0) return 0.0;
  double degrees = atan2(b, a) / DEGREE;
  return degrees < 0.0 ? degrees + 360.0 : degrees;
}

/* The sign of a1 b2 - a2 b1, free of rounding: the product's error is had by fma. It tells which way round
 * the second hue lies, and 0 that both are on one line through gray. The hue angles alone cannot tell 180
 * degrees from a hair more or less, and there the formula jumps. */
static double turn_sign(dw_lab one, dw_lab two) {
  double p = one.a * two.b, q = two.a * one.b;
  if (p != q) return p - q;
  return fma(one.a, two.b, -p) - fma(two.a, one.b, -q);
}

typedef struct hues {
  double apart, mean, cos_mean, sin_mean; /* dH' (11); the mean hue (14), degrees */
} hues;

/* By the angles. */
static hues hues_far(dw_lab from, dw_lab to, double stretch, double c1, double c2) {
  const double h1 = hue_degrees(stretch * from.a, from.b), h2 = hue_degrees(stretch * to.a, to.b);
  const double raw = h2 - h1, sum = h1 + h2;
  double turn = raw, mean = sum / 2.0; /* the short way round (10) */
  if (c1 == 0.0 || c2 == 0.0) {
    turn = 0.0;
    mean = sum;
  } else {
    const double side = turn_sign(from, to);
    if ((raw > 0.0 && side < 0.0) || (raw < 0.0 && side > 0.0)) {
      turn = raw > 0.0 ? raw - 360.0 : raw + 360.0;
      mean = sum < 360.0 ? sum / 2.0 + 180.0 : sum / 2.0 - 180.0;
    }
  }
  return (hues){2.0 * sqrt(c1 * c2) * sin(turn / 2.0 * DEGREE), mean, cos(mean * DEGREE), sin(mean * DEGREE)};
}

/* By their vectors where they do not lie nearly opposite: the mean hue is that of the unit vectors' sum, and half the
 * turn's sine is had from the products of both. It takes a third of the angles' time. */
static hues hues_compare(dw_lab from, dw_lab to, double stretch, double c1, double c2) {
  const double a1 = stretch * from.a, a2 = stretch * to.a, both = c1 * c2, dot = a1 * a2 + from.b * to.b;
  const bool squares_hold = both > 1e-100 && both < 1e100;
  if (!squares_hold || !(dot > NEAR_HUES * both)) return hues_far(from, to, stretch, c1, c2);
  const double x = a1 * c2 + a2 * c1, y = from.b * c2 + to.b * c1, length = sqrt(x * x + y * y);
  return (hues){(a1 * to.b - a2 * from.b) / sqrt((both + dot) / 2.0), hue_degrees(x, y), x / length,
                y / length};
}

typedef struct scales {
  double L, C, H; /* the weighting functions (16) to (18) */
} scales;

/* The cosines of (15) are products of those of the hue itself. */
static scales scales_at(double L, double chroma, double cos_h, double sin_h) {
  const double square = (L - 50.0) * (L - 50.0), cc = cos_h * cos_h, ss = sin_h * sin_h;
  const double cos_2h = cc - ss, sin_2h = 2.0 * sin_h * cos_h;
  const double cos_3h = cos_h * (cc - 3.0 * ss), sin_3h = sin_h * (3.0 * cc - ss);
  const double cos_4h = cos_2h * cos_2h - sin_2h * sin_2h, sin_4h = 2.0 * sin_2h * cos_2h;
  const double t = 1.0 - 0.17 * (COS_30 * cos_h + SIN_30 * sin_h) + 0.24 * cos_2h +
                   0.32 * (COS_6 * cos_3h - SIN_6 * sin_3h) - 0.20 * (COS_63 * cos_4h + SIN_63 * sin_4h);
  return (scales){1.0 + 0.015 * square / sqrt(20.0 + square), 1.0 + 0.045 * chroma, 1.0 + 0.015 * chroma * t};
}

/* RT (19) to (21): chroma and hue differences of blues are not independent. */
static double rotation_at(double chroma, double hue) {
  const double place = (hue - 275.0) / 25.0;
  if (fabs(place) > 6.2) return 0.0; /* below a double's precision */
  return -2.0 * sqrt(seventh_share(chroma)) * sin(60.0 * DEGREE * exp(-place * place));
}

dw_difference dw_difference_between(dw_lab from, dw_lab to) {
  const double stretch = stretch_of_a((chroma_of(from.a, from.b) + chroma_of(to.a, to.b)) / 2.0);
  const double c1 = chroma_of(stretch * from.a, from.b), c2 = chroma_of(stretch * to.a, to.b),
               chroma = (c1 + c2) / 2.0;
  const hues h = hues_compare(from, to, stretch, c1, c2);
  const scales s = scales_at((from.L + to.L) / 2.0, chroma, h.cos_mean, h.sin_mean);
  dw_difference d = {.dl = (to.L - from.L) / s.L, .dc = (c2 - c1) / s.C, .dh = h.apart / s.H};
  d.de00 = sqrt(d.dl * d.dl + d.dc * d.dc + d.dh * d.dh + rotation_at(chroma, h.mean) * d.dc * d.dh);
  return d;
}

double dw_de00(dw_lab from, dw_lab to) {
  return dw_difference_between(from, to).de00;
}

/* For two colors close to `at`, G comes from their common mean chroma, so a' = (1 + G) a with G fixed; chroma
 * and hue differences are the components along and across the direction (a', b). */
void dw_de00_metric(dw_lab at, double out[9]) {
  const double stretch = stretch_of_a(chroma_of(at.a, at.b)), a = stretch * at.a, chroma = chroma_of(a, at.b);
  const double along = chroma > 0.0 ? a / chroma : 1.0, across = chroma > 0.0 ? at.b / chroma : 0.0;
  const scales s = scales_at(at.L, chroma, along, across);
  const double metric[9] = {
      1.0 / s.L,  0.0, 0.0, 0.0, along * stretch / s.C, across / s.C, 0.0, -across * stretch / s.H,
      along / s.H};
  for (int i = 0; i < 9; i++) out[i] = metric[i];
}

void dw_de00_parts(const double metric[9], dw_lab from, dw_lab to, double out[3]) {
  const double d[3] = {to.L - from.L, to.a - from.a, to.b - from.b};
  for (size_t r = 0; r < 3; r++)
    out[r] = metric[3 * r] * d[0] + metric[3 * r + 1] * d[1] + metric[3 * r + 2] * d[2];
}
