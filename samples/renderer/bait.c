#include "bait.h"

#include <math.h>

enum { RADII = 11 };

/* One tapered piece: a center line of some length and half widths at equal steps along it. */
typedef struct piece {
  double x, y, angle_deg, length, bend, flat;
  double radius[RADII];
} piece;

static const piece crawfish[] = {
    {0, 0, 0, 78, 1, 1.0, {4.5, 10.8, 14.0, 15.2, 14.6, 13.2, 12.6, 11.6, 10.4, 9.0, 7.2}},
    {76, -1, -24, 24, -1, 0.46, {4.0, 4.6, 5.2, 5.8, 6.2, 6.4, 6.3, 5.9, 5.2, 4.1, 2.4}},
    {76, 2, 28, 24, 1, 0.46, {4.0, 4.6, 5.2, 5.8, 6.2, 6.4, 6.3, 5.9, 5.2, 4.1, 2.4}},
    {77, 0.5, 2, 25, 0.5, 0.60, {6.0, 6.1, 6.3, 6.5, 6.7, 6.8, 6.7, 6.3, 5.5, 4.3, 2.6}},
    {2, -4, 222, 46, -6, 0.12, {1.3, 1.2, 1.1, 1.05, 1.0, 0.95, 0.9, 0.85, 0.8, 0.75, 0.7}},
    {2, -3, 213, 40, -7, 0.12, {1.3, 1.2, 1.1, 1.05, 1.0, 0.95, 0.9, 0.85, 0.8, 0.75, 0.7}},
    {6, 7, 203, 20, -1.5, 0.55, {4.0, 3.4, 3.0, 3.2, 4.0, 5.0, 5.8, 6.2, 6.2, 5.8, 5.0}},
    {-11, -2.0, 196, 27, 2.5, 0.50, {5.2, 6.0, 6.4, 6.2, 5.6, 4.9, 4.2, 3.4, 2.6, 1.8, 0.9}},
    {-11, 3.5, 166, 24, -3.0, 0.45, {5.0, 5.4, 5.2, 4.7, 4.1, 3.5, 2.9, 2.3, 1.7, 1.2, 0.6}},
    {20, 11, 108, 19, 3, 0.28, {2.4, 2.3, 2.2, 2.0, 1.9, 1.8, 1.6, 1.5, 1.3, 1.0, 0.6}},
    {31, 11, 98, 19, 3, 0.28, {2.4, 2.3, 2.2, 2.0, 1.9, 1.8, 1.6, 1.5, 1.3, 1.0, 0.6}},
    {42, 10, 88, 18, 3, 0.28, {2.4, 2.3, 2.2, 2.0, 1.9, 1.8, 1.6, 1.5, 1.3, 1.0, 0.6}},
};
static const piece baitfish[] = {
    {0, 0, 0, 92, -1, 1.0, {3.2, 9.0, 12.4, 14.2, 14.6, 14.0, 12.6, 10.4, 8.0, 5.8, 4.4}},
    {88, 0, -38, 22, 1, 0.35, {4.0, 4.6, 5.0, 5.2, 5.2, 5.0, 4.5, 3.9, 3.1, 2.2, 1.0}},
    {88, 0, 38, 22, -1, 0.35, {4.0, 4.6, 5.0, 5.2, 5.2, 5.0, 4.5, 3.9, 3.1, 2.2, 1.0}},
    {48, 11, 52, 13, 1, 0.22, {4.0, 3.9, 3.7, 3.4, 3.1, 2.8, 2.4, 2.0, 1.6, 1.1, 0.5}},
};

static void turn(double angle_deg, double x, double y, double out[2]) {
  out[0] = x;
  out[1] = y;
  if (angle_deg == 0) return;
  double r = angle_deg * 0.017453292519943295;
  out[0] = cos(r) * x + sin(r) * y;
  out[1] = -sin(r) * x + cos(r) * y;
}

void bait_to_frame(const bait *b, double x_mm, double y_mm, double frame[2]) {
  turn(b->angle_deg, x_mm - b->x_mm, y_mm - b->y_mm, frame);
}

void bait_from_frame(const bait *b, const double frame[2], double *x_mm, double *y_mm) {
  double out[2];
  turn(-b->angle_deg, frame[0], frame[1], out);
  *x_mm = b->x_mm + out[0];
  *y_mm = b->y_mm + out[1];
}

static double radius_at(const piece *p, double u) { /* Catmull-Rom through the given half widths */
  double t = fmin(fmax(u, 0), 1) * (RADII - 1);
  int i = (int)fmin(floor(t), RADII - 2);
  double f = t - i, p1 = p->radius[i], p2 = p->radius[i + 1];
  double p0 = i > 0 ? p->radius[i - 1] : 2 * p1 - p2, p3 = i < RADII - 2 ? p->radius[i + 2] : 2 * p2 - p1;
  double bow = f * (f * (f * (3 * (p1 - p2) + p3 - p0) + 2 * p0 - 5 * p1 + 4 * p2 - p3) + p2 - p0);
  return fmax(p1 + 0.5 * bow, 0.3);
}

/* How far inside one piece a point lies, and where along and across it. Ends are rounded by half disks. */
static bait_point piece_at(const piece *p, double bend_mm, double thickness_mm, const double frame[2]) {
  double local[2];
  turn(p->angle_deg, frame[0] - p->x, frame[1] - p->y, local);
  bait_point at;
  at.along = local[0] / p->length;
  double u = fmin(fmax(at.along, 0), 1);
  double off_line = local[1] - 4 * (p->bend + bend_mm) * u * (1 - u);
  double radius = radius_at(p, u);
  double beyond = (at.along < 0 ? -local[0] : at.along > 1 ? local[0] - p->length : 0) * 1.3;
  double away = hypot(off_line, beyond);
  at.inside_mm = radius - away;
  at.across = off_line / radius * (fabs(p->angle_deg - 180) < 90 ? -1 : 1); /* the back stays up */
  at.thickness_mm = at.height_mm = 0;
  if (away >= radius) return at;
  double v = away / radius;
  double bulge = pow(1 - v * v * v * v, 0.25) * sqrt(1 - pow(v, 12));
  at.thickness_mm = thickness_mm * p->flat * (1 - exp(-radius / 8)) / 0.84 * bulge;
  at.height_mm = at.thickness_mm;
  return at;
}

static bait_point chip_at(const bait *b, const double frame[2]) {
  const double radius = 8.5;
  double away = hypot(frame[0], frame[1]);
  bait_point at = {.inside_mm = radius - away, .across = away / radius, .along = 0};
  double v = fmin(away / radius, 1);
  at.thickness_mm = b->thickness_mm * pow(fmax(1 - pow(v, 14), 0), 0.5) * (1 + 0.012 * frame[0] / radius);
  at.height_mm = at.thickness_mm;
  return at;
}

/* Grooves between a crawfish's tail rings; a baitfish is smooth. */
static double groove(const bait *b, const bait_point *at) {
  if (b->kind != BAIT_CRAWFISH || at->along < 0.46 || at->along > 0.98) return 0;
  double phase = (at->along - 0.46) / 0.085 + 0.10 * at->across * at->across;
  double cut = fabs(phase - floor(phase) - 0.5) * 2;
  return -0.9 * exp(-pow((1 - cut) / 0.16, 2));
}

bait_point bait_at(const bait *b, const double frame[2]) {
  if (b->kind == BAIT_CHIP) return chip_at(b, frame);
  const piece *pieces = b->kind == BAIT_CRAWFISH ? crawfish : baitfish;
  int n = (int)(b->kind == BAIT_CRAWFISH ? sizeof crawfish / sizeof *crawfish
                                         : sizeof baitfish / sizeof *baitfish);
  bait_point best = piece_at(&pieces[0], b->bend_mm, b->thickness_mm, frame);
  if (best.inside_mm > 0) best.thickness_mm = fmax(best.thickness_mm + groove(b, &best), 0.3);
  for (int i = 1; i < n; i++) {
    double reach = pieces[i].length + 20; /* farther pieces neither show nor throw a shadow here */
    if (fabs(frame[0] - pieces[i].x) > reach || fabs(frame[1] - pieces[i].y) > reach) continue;
    bait_point at = piece_at(&pieces[i], 0, b->thickness_mm, frame);
    if (at.inside_mm > 0 && at.thickness_mm > best.thickness_mm) {
      double inside = fmax(at.inside_mm, best.inside_mm);
      best = at;
      best.inside_mm = inside;
    } else {
      best.inside_mm = fmax(best.inside_mm, at.inside_mm);
    }
  }
  /* A ripple of the mold and of shrinkage, felt by gloss more than by color. */
  best.height_mm = best.thickness_mm;
  if (best.inside_mm > 0)
    best.height_mm += b->ripple * noise_layered(frame[0] / 3.1, frame[1] / 2.3, b->seed + 11);
  return best;
}

/* Layers meet along wavy lines; each is soft. */
void bait_weights(const bait *b, const double frame[2], const bait_point *at, double weight[3]) {
  double wave1 = 0.11 * noise_layered(frame[0] / 17, 0.3, b->seed + 21);
  double wave2 = 0.11 * noise_layered(frame[0] / 19, 7.7, b->seed + 22);
  double ragged = 0.05 * noise_layered(frame[0] / 5, frame[1] / 3, b->seed + 23);
  double across = at->across + ragged;
  double past1 = step_smooth(b->border[0] + wave1 - b->blend, b->border[0] + wave1 + b->blend, across);
  double past2 = step_smooth(b->border[1] + wave2 - b->blend, b->border[1] + wave2 + b->blend, across);
  weight[0] = 1 - past1;
  weight[1] = past1 * (1 - past2);
  weight[2] = past1 * past2;
}

int bait_eye(const bait *b, const double frame[2]) {
  if (b->kind == BAIT_CHIP) return 0;
  double x = b->kind == BAIT_CRAWFISH ? 3.5 : 9, y = b->kind == BAIT_CRAWFISH ? -5.5 : -2.5;
  double away = hypot(frame[0] - x, frame[1] - y);
  if (away < (b->kind == BAIT_CRAWFISH ? 1.9 : 1.7)) return 2;
  return b->kind == BAIT_BAITFISH && away < 2.9;
}
