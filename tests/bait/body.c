/* Shapes of baits: a bent body of given half widths with tapered limbs, and where its layers lie. */
#include "boards.h"

#include <math.h>
#include <string.h>

const char *const body_kind_words[BODY_KINDS_ALL] = {
    "stick", "worm", "swimbait", "minnow", "crawfish", "frog", "thin", "ribbed", "grub", "toad", "creature"};

static const double halves[BODY_KINDS_ALL][BODY_RADII] = {
    {3.6, 4.6, 5.0, 5.2, 5.2, 5.2, 5.2, 5.1, 5.0, 4.7, 3.8},
    {2.6, 3.8, 4.2, 4.3, 4.2, 4.0, 3.7, 3.3, 2.8, 2.2, 1.4},
    {4.2, 7.6, 8.8, 9.2, 8.8, 7.9, 6.6, 5.2, 4.0, 3.2, 2.8},
    {3.2, 9.0, 12.4, 14.2, 14.6, 14.0, 12.6, 10.4, 8.0, 5.8, 4.4},
    {5.0, 9.6, 12.0, 12.8, 12.2, 11.4, 11.0, 10.4, 9.4, 8.2, 6.0},
    {6.5, 11.0, 14.0, 15.5, 16.0, 15.6, 14.4, 12.6, 10.4, 8.2, 6.5},
    {2.2, 2.9, 3.1, 3.1, 3.1, 3.1, 3.1, 3.0, 3.0, 2.8, 2.2},
    {3.4, 5.0, 5.4, 5.4, 5.2, 4.9, 4.6, 4.2, 3.8, 3.3, 2.6},
    {5.0, 7.0, 7.6, 7.6, 7.2, 6.6, 6.0, 5.3, 4.6, 3.8, 3.0},
    {9.0, 13.5, 15.8, 16.8, 17.0, 16.8, 16.2, 15.0, 13.0, 10.4, 7.4},
    {4.6, 6.6, 7.6, 8.0, 8.2, 8.2, 8.0, 7.8, 7.4, 6.8, 5.4}};
static const double lengths[BODY_KINDS_ALL] = {118, 128, 92, 88, 74, 58, 112, 110, 52, 54, 72};
static const double thick[BODY_KINDS_ALL] = {9.5, 7.5, 11, 11, 13, 14, 5.8, 9, 12, 15, 10};

/* Limbs as shares of the length (s), of the half width there (o), radians, and of the length again. */
static const limb swim_limbs[] = {{1.0, 0, 0.1, .10, 0, {2.6, 2.2}, .6},
                                  {1.10, 0, 1.35, .11, 0, {5.2, 4.4}, .5},
                                  {1.10, 0, -1.35, .09, 0, {5.2, 4.2}, .5}};
static const limb minnow_limbs[] = {{.97, 0, -.62, .26, 1, {4.4, 1.6}, .35},
                                    {.97, 0, .62, .26, -1, {4.4, 1.6}, .35},
                                    {.52, .8, .9, .16, 1, {3.8, .8}, .25}};
static const limb craw_limbs[] = {
    {.98, 0, -.4, .3, -1, {4.6, 2.8}, .46},  {.98, 0, .48, .3, 1, {4.6, 2.8}, .46},
    {.99, 0, .03, .3, .5, {6.2, 3.2}, .6},   {.03, -.5, 3.9, .6, -5, {1.3, .8}, .15},
    {.03, -.4, 3.7, .5, -6, {1.2, .8}, .15}, {.07, .4, 3.5, .5, -2, {3.6, 6.0}, .5},
    {.1, -.5, 2.8, .48, 2, {3.4, 5.4}, .5},  {.27, .8, 1.9, .25, 3, {2.3, .9}, .28},
    {.42, .8, 1.7, .25, 3, {2.3, .9}, .28},  {.56, .8, 1.5, .24, 3, {2.3, .9}, .28}};
static const limb frog_limbs[] = {{.93, -.4, -.5, .75, -6, {4.2, 2.4}, .5},
                                  {.93, .4, .5, .75, 6, {4.2, 2.4}, .5},
                                  {.3, .8, 1.3, .28, 2, {2.8, 1.6}, .4}};
/* Each a tail that curls: arcs that follow each other. */
static const limb ribbed_limbs[] = {{.99, 0, .2, .12, -1.5, {2.9, 3.0}, .4},
                                    {1.108, 2.6, 1.06, .1, -1.5, {3.0, 3.1}, .35},
                                    {1.157, 12.2, 2.0, .1, -1.5, {3.1, 1.6}, .3}};
static const limb grub_limbs[] = {{.98, 0, -.35, .34, 2, {3.2, 3.6}, .35},
                                  {1.3, -6, -1.2, .3, 2.5, {3.6, 3.6}, .3},
                                  {1.41, -20.6, -2.2, .3, 2.5, {3.6, 1.4}, .25}};
static const limb toad_limbs[] = {{.92, -.5, -.9, .5, -4, {4.6, 3}, .5},
                                  {.92, .5, .9, .5, 4, {4.6, 3}, .5},
                                  {.25, .8, 1.5, .3, 2, {3.2, 1.8}, .4},
                                  {.25, -.8, -1.5, .3, -2, {3.2, 1.8}, .4}};
static const limb creature_limbs[] = {
    {.98, .35, .25, .42, 4, {3.4, 5.2}, .4}, {.98, -.35, -.25, .42, -4, {3.4, 5.2}, .4},
    {.2, .9, 2.2, .2, 2, {1.5, 1.1}, .3},    {.2, -.9, -2.2, .2, -2, {1.5, 1.1}, .3},
    {.5, .9, 1.2, .3, 2, {1.7, 1.2}, .3},    {.5, -.9, -1.2, .3, -2, {1.7, 1.2}, .3}};
static const struct {
  const limb *of;
  int n;
} limbs[BODY_KINDS_ALL] = {
    [BODY_SWIM] = {swim_limbs, 3}, [BODY_MINNOW] = {minnow_limbs, 3},    [BODY_CRAW] = {craw_limbs, 10},
    [BODY_FROG] = {frog_limbs, 3}, [BODY_RIBBED] = {ribbed_limbs, 3},    [BODY_GRUB] = {grub_limbs, 3},
    [BODY_TOAD] = {toad_limbs, 4}, [BODY_CREATURE] = {creature_limbs, 6}};

body body_make(body_kind kind, double size, chance *dice) {
  body b = {.kind = kind, .length = lengths[kind] * size * between(dice, .9, 1.1), .limbs = limbs[kind].n};
  double slim = size * between(dice, .85, 1.15);
  for (int i = 0; i < BODY_RADII; i++) b.half[i] = halves[kind][i] * slim;
  b.thickness = thick[kind] * slim;
  for (int i = 0; i < b.limbs; i++) {
    limb *l = &b.limb[i];
    *l = limbs[kind].of[i];
    double half = b.half[(int)fmin(l->s * (BODY_RADII - 1), BODY_RADII - 1)];
    l->s *= b.length;
    l->o *= fabs(l->o) > 1 ? slim : half; /* beyond the body in mm */
    l->length *= b.length * between(dice, .85, 1.15);
    l->angle += between(dice, -.08, .08);
    for (int k = 0; k < 2; k++) l->radius[k] *= slim;
  }
  double bend = chance_unit(dice), most = kind == BODY_WORM || kind == BODY_THIN      ? 2.2
                                          : kind == BODY_STICK || kind == BODY_RIBBED ? 1.5
                                                                                      : .8;
  b.bend = bend < .45 ? 0 : between(dice, -most, most);
  b.sway = chance_unit(dice) < .3 ? between(dice, -.02, .02) * b.length : 0;
  return b;
}

static double half_at(const body *b, double share) { /* Catmull-Rom through the given half widths */
  double t = fmin(fmax(share, 0), 1) * (BODY_RADII - 1);
  int i = (int)fmin(floor(t), BODY_RADII - 2);
  double f = t - i, p1 = b->half[i], p2 = b->half[i + 1];
  double p0 = i > 0 ? b->half[i - 1] : 2 * p1 - p2, p3 = i < BODY_RADII - 2 ? b->half[i + 2] : 2 * p2 - p1;
  return fmax(p1 + 0.5 * f * (f * (f * (3 * (p1 - p2) + p3 - p0) + 2 * p0 - 5 * p1 + 4 * p2 - p3) + p2 - p0),
              .3);
}

/* From the board to the bent frame, where the middle of the body is an arc. */
static void unbend(const body *b, double x, double y, double *s, double *o) {
  double c = cos(b->angle), n = sin(b->angle), dx = x - b->x, dy = y - b->y;
  double u = c * dx + n * dy, v = -n * dx + c * dy, curve = b->bend / b->length;
  if (fabs(curve) < 1e-6) {
    *s = u, *o = v;
  } else {
    double radius = 1 / fabs(curve), sign = curve > 0 ? 1 : -1;
    *s = atan2(u, radius - sign * v) * radius;
    *o = sign * (radius - sqrt(u * u + (radius - sign * v) * (radius - sign * v)));
  }
  if (b->sway != 0) *o -= b->sway * sin(6.283185307179586 * *s / b->length);
  *s += b->length / 2;
}

void body_place(const body *b, double s, double o, double *x, double *y) {
  double u = s - b->length / 2, v = o + b->sway * sin(6.283185307179586 * u / b->length),
         curve = b->bend / b->length;
  if (fabs(curve) >= 1e-6) {
    double radius = 1 / fabs(curve), sign = curve > 0 ? 1 : -1, turn = u / radius, far = radius - sign * v;
    u = far * sin(turn);
    v = sign * (radius - far * cos(turn));
  }
  *x = b->x + cos(b->angle) * u - sin(b->angle) * v;
  *y = b->y + sin(b->angle) * u + cos(b->angle) * v;
}

static double bulge(double v) {
  return v >= 1 ? 0 : pow(1 - v * v * v * v, 0.25) * sqrt(1 - pow(v, 12));
}

/* One limb's depth of a point, and its thickness there. */
static double limb_at(const limb *l, double s, double o, double *thick_share) {
  double c = cos(l->angle), n = sin(l->angle), along = c * (s - l->s) + n * (o - l->o);
  double off = -n * (s - l->s) + c * (o - l->o), u = fmin(fmax(along / l->length, 0), 1);
  off -= 4 * l->bow * u * (1 - u);
  double radius = l->radius[0] + u * (l->radius[1] - l->radius[0]);
  double beyond = along - u * l->length, away = sqrt(off * off + beyond * beyond);
  *thick_share = l->flat * bulge(away / radius);
  return radius - away;
}

/* What ribs and bumps make of the thickness. */
static double surface_at(const body *b, double s, double o) {
  double share = 1;
  if (b->rib[0] > 0) share += b->rib[0] * cos(6.283185307179586 * s / b->rib[1]);
  if (b->bumps > 0) share += b->bumps * noise_smooth(s / 1.7, o / 1.7, b->seed + 41);
  return share;
}

body_point body_at(const body *b, double x, double y) {
  double s, o;
  unbend(b, x, y, &s, &o);
  double half = half_at(b, s / b->length), beyond = s < 0 ? -s : s > b->length ? s - b->length : 0;
  double away = sqrt(o * o + 1.44 * beyond * beyond);
  body_point at = {.inside = half - away, .body = half - away, .along = s / b->length};
  at.across = (1 + fmin(fmax(o / half, -1), 1) * (b->flip ? -1 : 1)) / 2;
  at.thickness = b->thickness * sqrt(half / b->half[4]) * bulge(away / half) * surface_at(b, s, o);
  for (int i = 0; i < b->limbs; i++) {
    double share, depth;
    const limb *l = &b->limb[i];
    double arm = l->length + fabs(l->bow) + fmax(l->radius[0], l->radius[1]) + 12;
    if (at.body > 2 || (s - l->s) * (s - l->s) + (o - l->o) * (o - l->o) > arm * arm) continue;
    depth = limb_at(l, s, o, &share);
    at.inside = fmax(at.inside, depth);
    at.thickness = fmax(at.thickness, b->thickness * share);
  }
  return at;
}

static double wave_at(const body *b, int k, double along) {
  double wave = b->wave * noise_layered(along * 4.5, 0.3 + 5 * k, b->seed + 21);
  if (b->waver > 0) wave += b->waver * noise_layered(along * 24, .7 + 5 * k, b->seed + 25);
  return wave + b->slope[k] * (along - .5);
}

double body_border(const body *b, int k) {
  double sum = 0;
  for (int i = 0; i < 100; i++) sum += wave_at(b, k, .12 + .74 * i / 99);
  return b->border[k] + sum / 100;
}

/* The second layer's share of a blend, half at 0; -1 and 1 are where it ends, or nearly so. */
static double blend_at(blend_form form, double u) {
  switch (form) {
  case BLEND_STRAIGHT:
    return fmin(fmax((u + 1) / 2, 0), 1);
  case BLEND_TAILED:
    return 1 / (1 + exp(-3.6 * u));
  case BLEND_STAIRS:
    return .5 * (step_smooth(-1, -.1, u) + step_smooth(.1, 1, u));
  default:
    return step_smooth(-1, 1, u);
  }
}

void body_weights(const body *b, double along, double across, double weight[LAYERS_MAX]) {
  double rest = 1;
  for (int k = 0; k < LAYERS_MAX; k++) weight[k] = 0;
  for (int k = 0; k < b->layers; k++) {
    double past = 0;
    if (k < b->layers - 1) {
      double off = across - b->border[k] - wave_at(b, k, along);
      past = blend_at(b->form, off / (b->blend[k] * (1 + (off > 0 ? b->lean[k] : -b->lean[k]))));
    }
    weight[k] = rest * (1 - past);
    rest *= past;
  }
}
