#include "turned.h"

#include "jpeg.h"
#include "paints.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define INDEX 1.5 /* of plastisol; about that of PVC, from memory */

const char *const pearl_words[PEARL_KINDS] = {"plain", "silver pearl", "colored pearl", "color shift"};

static double dot(const double p[3], const double q[3]) {
  return p[0] * q[0] + p[1] * q[1] + p[2] * q[2];
}

static void unit(double v[3]) {
  double length = sqrt(dot(v, v));
  for (int i = 0; i < 3; i++) v[i] /= length;
}

static void half_of(const double p[3], const double q[3], double out[3]) {
  for (int i = 0; i < 3; i++) out[i] = p[i] + q[i];
  unit(out);
}

/* A direction outside as it goes on inside (Snell). */
static void refract(const double n[3], const double v[3], double out[3]) {
  double c = dot(n, v), side[3], s2 = 0;
  for (int i = 0; i < 3; i++) side[i] = (v[i] - c * n[i]) / INDEX;
  s2 = dot(side, side);
  for (int i = 0; i < 3; i++) out[i] = side[i] + sqrt(1 - s2) * n[i];
}

/* ---- what lies there ------------------------------------------------------------------------------------- */

static plastic some_plastic(chance *dice, pearl_kind pearl) {
  recipe r = {{0}};
  int colors = 1 + (int)(2 * chance_unit(dice));
  for (int i = 0; i < colors; i++)
    r.drops[(int)(chance_unit(dice) * BLACK)] += exp(between(dice, log(.5), log(6)));
  if (chance_unit(dice) < .5) r.drops[WHITE] += between(dice, .3, 3);
  /* a white or black bait holds no color beside it */
  if (chance_unit(dice) < .2) r = (recipe){{0}}, r.drops[WHITE] = between(dice, 2, 8);
  if (pearl == PEARL_NONE && chance_unit(dice) < .1) r = (recipe){{0}}, r.drops[BLACK] = between(dice, 1, 4);
  return plastic_mix(&r);
}

static double lab_apart(lab_color a, lab_color b) {
  return hypot(a.L - b.L, hypot(a.a - b.a, a.b - b.b));
}

static double board_apart(const plastic *p, const spectrum *paint) {
  return lab_apart(color_over(p, 7, paint), lab_of(xyz_of(paint)));
}

/* A board that the bait differs from well. */
static spectrum board_for(const plastic *p) {
  static const double level[] = {.5, .05, .8};
  spectrum best = spectrum_flat(.5);
  double most = -1;
  for (size_t i = 0; i < sizeof level / sizeof *level; i++) {
    spectrum paint = spectrum_flat(level[i]);
    double apart = board_apart(p, &paint);
    if (apart > most) most = apart, best = paint;
  }
  return best;
}

static void film_make(turned *t, chance *dice) {
  switch (t->pearl) {
  case PEARL_SILVER:
    t->film_nm = between(dice, 120, 150), t->film_index = 2.4;
    break;
  case PEARL_COLOR:
    t->film_nm = between(dice, 190, 380), t->film_index = 2.4;
    break;
  default:
    t->film_nm = between(dice, 400, 700), t->film_index = 1.46;
  }
  t->strength = between(dice, .5, 1.5);
  t->spread = between(dice, .12, .3);
}

static void lamp_at(double zenith, double around, double out[3]) {
  out[0] = sin(zenith) * cos(around), out[1] = sin(zenith) * sin(around), out[2] = cos(zenith);
}

/* Once with the lamp nearly mirrored, once from far aside: the board turned in the light with all that lies on it,
 * or the bait alone propped up, away from the lamp. */
static void shots_make(turned *t, chance *dice) {
  bool alone = chance_unit(dice) < .4;
  double around = between(dice, 0, 6.28), first = between(dice, .2, .45);
  for (int i = 0; i < TURNED_PHOTOS; i++) {
    double zenith = i == 0 ? first : i == 1 ? between(dice, .8, 1.05) : between(dice, .45, .8);
    lamp_at(alone ? first : zenith, around + (alone ? 0 : between(dice, -.6, .6)), t->shot[i].lamp);
    double lean = alone && i ? (i == 1 ? -between(dice, .35, .5) : -between(dice, .15, .25)) : 0;
    t->shot[i].tilt[0] = lean * cos(around);
    t->shot[i].tilt[1] = lean * sin(around);
    t->shot[i].exposure = between(dice, .72, .95);
    t->shot[i].balance_share = between(dice, .85, 1);
    t->shot[i].seed = (uint32_t)(chance_unit(dice) * 1e9);
  }
}

turned turned_make(uint32_t seed, pearl_kind pearl, int width) {
  chance dice = {(uint64_t)seed * 9973u + 101 + (uint64_t)pearl};
  turned t = {.pearl = pearl};
  board *b = &t.b;
  *b =
      (board){.width = width, .height = width * 3 / 4, .seed = seed, .n = 1, .quality = 92, .has_card = true};
  double w = 200, h = 150;
  b->mm = w / width;
  b->texture = between(&dice, .004, .012);
  b->light = (light_kind)(seed % 3);
  b->slope[0] = between(&dice, -.05, .05), b->slope[1] = between(&dice, -.05, .05);
  b->electrons = exp(between(&dice, log(2500), log(9000)));
  b->card[0] = .5 * w, b->card[1] = h - 38, b->card[2] = between(&dice, -.1, .1), b->card[3] = 12;
  body *one = &b->bait[0];
  *one = body_make(seed % 2 ? BODY_SWIM : BODY_STICK, 1, &dice);
  one->bend = one->sway = 0, one->limbs = 0;
  one->x = .5 * w, one->y = 38, one->angle = between(&dice, -.15, .15);
  one->layers = 1;
  one->layer[0] = some_plastic(&dice, pearl);
  b->paint = board_for(&one->layer[0]);
  one->gloss = between(&dice, .2, 1);
  one->seed = seed;
  t.diffuse = between(&dice, .35, .65);
  film_make(&t, &dice);
  shots_make(&t, &dice);
  return t;
}

/* ---- how it looks ---------------------------------------------------------------------------------------- */

static void normal_at(const turned *t, int which, const body *p, double x, double y, const body_point *at,
                      double out[3]) {
  const double step = .12;
  out[0] = -.55 * (body_at(p, x + step, y).thickness - at->thickness) / step;
  out[1] = -.55 * (body_at(p, x, y + step).thickness - at->thickness) / step;
  out[0] += .05 * noise_layered(x / 3.1, y / 2.3, p->seed + 11) + t->shot[which].tilt[0];
  out[1] += .05 * noise_layered(x / 2.7, y / 3.3, p->seed + 12) + t->shot[which].tilt[1];
  out[2] = 1;
  unit(out);
}

/* What one flake mirrors in a band, 0..1. */
static double film(const turned *t, double nm, double sin2_inside) {
  double c = sqrt(1 - sin2_inside * INDEX * INDEX / (t->film_index * t->film_index));
  double phase = 6.283185307179586 * t->film_nm * c / nm, s = sin(phase);
  return t->pearl == PEARL_SHIFT ? s * s * s * s : s * s;
}

static void pearl_paint(const turned *t, int which, const double n[3], double x, double y, spectrum *seen) {
  const double eye[3] = {0, 0, 1};
  double l[3], v[3], h[3];
  refract(n, t->shot[which].lamp, l);
  refract(n, eye, v);
  half_of(l, v, h);
  double lean = acos(fmin(dot(h, n), 1)), c = dot(h, l), lit = fmax(dot(n, t->shot[which].lamp), 0);
  double right = exp(-lean * lean / (2 * t->spread * t->spread)) * lit / t->shot[which].lamp[2];
  /* single flakes are larger than a pixel sees evenly */
  right *= 1 + .25 * noise_layered(x / .5, y / .5, t->b.seed + 77 + (uint32_t)which);
  for (int i = 0; i < BANDS; i++) {
    double direct = film(t, band_nm(i), 1 - c * c), around = film(t, band_nm(i), .12);
    double back = t->strength * ((1 - t->diffuse) * right * direct + .25 * t->diffuse * around);
    seen->v[i] = seen->v[i] * (1 - .5 * t->strength * around) + back;
  }
}

/* Mirror light of the plastic's own surface, sharp and a little soft. */
static double gloss_at(const turned *t, int which, const body *p, const double n[3]) {
  const double eye[3] = {0, 0, 1};
  double h[3];
  half_of(t->shot[which].lamp, eye, h);
  double c = fmax(dot(h, n), 0);
  return p->gloss * (.6 * pow(c, 1400) + .08 * pow(c, 220));
}

/* Each color's part of the volume at a place: where its own noise lies above the others'. */
static void swirl_weights(const turned *t, const body *p, double x, double y, double weight[LAYERS_MAX]) {
  double c = cos(p->angle), s = sin(p->angle), u = c * (x - p->x) + s * (y - p->y),
         v = c * (y - p->y) - s * (x - p->x);
  double sum = 0;
  v += 4 * noise_smooth(u / 14, v / 9, p->seed + 50);
  for (int k = 0; k < p->layers; k++)
    sum += weight[k] =
        exp(t->sharp * (noise_layered(u / 17, v / 6, p->seed + 60 + 7 * (uint32_t)k) + t->more[k]));
  for (int k = 0; k < p->layers; k++) weight[k] /= sum;
}

static spectrum plain_at(const turned *t, const body *p, double x, double y, double mm,
                         const spectrum *under) {
  double weight[LAYERS_MAX];
  plastic mixed = p->layer[0];
  if (p->layers > 1) {
    swirl_weights(t, p, x, y, weight);
    mixed = (plastic){0};
    for (int k = 0; k < p->layers; k++)
      for (int i = 0; i < BANDS; i++) {
        mixed.k.v[i] += weight[k] * p->layer[k].k.v[i];
        mixed.s.v[i] += weight[k] * p->layer[k].s.v[i];
      }
  }
  return plastic_seen(&mixed, mm, under);
}

/* Without gloss. */
static spectrum bait_color(const turned *t, int which, const body *p, double x, double y,
                           const body_point *at, const spectrum *under, double n[3]) {
  normal_at(t, which, p, x, y, at, n);
  double lit = fmax(dot(n, t->shot[which].lamp), 0) / t->shot[which].lamp[2];
  double shade = t->diffuse * (.5 + .5 * n[2]) + (1 - t->diffuse) * lit;
  spectrum seen = plain_at(t, p, x, y, at->thickness, under);
  for (int i = 0; i < BANDS; i++) seen.v[i] *= shade;
  if (t->pearl != PEARL_NONE) pearl_paint(t, which, n, x, y, &seen);
  return seen;
}

static void bait_paint(const turned *t, int which, const body *p, double x, double y, const body_point *at,
                       const spectrum *under, spectrum *out, double *mirror) {
  double n[3];
  spectrum seen = bait_color(t, which, p, x, y, at, under, n);
  double cover = fmin(fmax(at->inside / t->b.mm + .5, 0), 1);
  for (int i = 0; i < BANDS; i++) out->v[i] += cover * (seen.v[i] - out->v[i]);
  *mirror = cover * gloss_at(t, which, p, n);
}

static bool card_at(const board *b, double x, double y, spectrum *out) {
  double dx = x - b->card[0], dy = y - b->card[1], c = cos(b->card[2]), s = sin(b->card[2]);
  double u = (c * dx + s * dy) / b->card[3], v = (-s * dx + c * dy) / b->card[3];
  if (fabs(u) > 3.35 || fabs(v) > 2.35) return false;
  *out = spectrum_flat(.038);
  int col = (int)floor(u + 3), row = (int)floor(v + 2);
  if (col < 0 || col > 5 || row < 0 || row > 3) return true;
  if (fabs(u - col + 2.5) > .44 || fabs(v - row + 1.5) > .44) return true;
  memcpy(out->v, card_patch[row * 6 + col], sizeof out->v);
  return true;
}

static void pixel_draw(const turned *t, int which, const camera *eye, int px, int py, float *signal) {
  const board *b = &t->b;
  double x = (px + .5) * b->mm, y = (py + .5) * b->mm, mirror = 0, rgb[3];
  spectrum bare = b->paint, seen;
  double grain = 1 + b->texture * noise_layered(x / .8, y / .8, b->seed);
  for (int i = 0; i < BANDS; i++) bare.v[i] *= grain;
  seen = bare;
  bool card = card_at(b, x, y, &seen);
  for (int i = 0; i < b->n && !card; i++) {
    if (hypot(x - b->bait[i].x, y - b->bait[i].y) > b->bait[i].length) continue;
    body_point at = body_at(&b->bait[i], x, y);
    if (at.inside > -.5 * b->mm) bait_paint(t, which, &b->bait[i], x, y, &at, &bare, &seen, &mirror);
  }
  double u = (px + .5) / b->width - .5, v = (py + .5) / b->height - .5;
  double light = 1 + 2 * (b->slope[0] * u + b->slope[1] * v);
  camera_signal(eye, &seen, rgb);
  for (int k = 0; k < 3; k++) signal[k] = (float)(light * (rgb[k] + mirror * eye->white[k]));
}

/* rgb  width x height x 3; nonzero when memory ran out */
static int render(const turned *t, int which, uint8_t *rgb) {
  const board *b = &t->b;
  float *signal = malloc((size_t)b->width * (size_t)b->height * 3 * sizeof *signal);
  if (!signal) return 1;
  camera eye = camera_make(b->light, t->shot[which].balance_share, t->shot[which].exposure, b->electrons);
  for (int y = 0; y < b->height; y++)
    for (int x = 0; x < b->width; x++)
      pixel_draw(t, which, &eye, x, y, signal + 3 * ((size_t)y * (size_t)b->width + (size_t)x));
  int failed = camera_develop(&eye, signal, b->width, b->height, t->shot[which].seed, rgb);
  free(signal);
  return failed;
}

int turned_save(const turned *t, int which, const char *path) {
  const board *b = &t->b;
  uint8_t *rgb = malloc((size_t)b->width * (size_t)b->height * 3);
  int failed = !rgb || render(t, which, rgb) || jpeg_save(path, rgb, b->width, b->height, b->quality, 1);
  free(rgb);
  return failed;
}

/* ---- swirls ---------------------------------------------------------------------------------------------- */

static double apart(const plastic *p, const plastic *q, const spectrum *paint) {
  return lab_apart(color_over(p, 7, paint), color_over(q, 7, paint));
}

turned swirled_make(uint32_t seed, int width) {
  turned t = turned_make(seed, PEARL_NONE, width);
  chance dice = {(uint64_t)seed * 5381u + 33};
  board *b = &t.b;
  body *one = &b->bait[0];
  const spectrum white = spectrum_flat(.8);
  t.sharp = between(&dice, 9, 25);
  one->layers = 2 + (int)(seed % 2);
  for (int k = 0; k < one->layers; k++) {
    t.more[k] = between(&dice, -.12, .12);
    for (int attempt = 0; attempt < 200; attempt++) {
      bool clear = true;
      one->layer[k] = some_plastic(&dice, PEARL_NONE);
      for (int i = 0; i < k; i++) clear = clear && apart(&one->layer[k], &one->layer[i], &white) > 22;
      if (clear && board_apart(&one->layer[k], &white) > 18) break;
    }
  }
  b->paint = white;
  one->gloss = between(&dice, 0, 1);
  one->y = 20, one->x = .3 * width * b->mm;
  for (b->n = 1; b->n < 4; b->n++) {
    body *to = &b->bait[b->n];
    *to = *one;
    to->x += b->n % 2 ? 85 : 0, to->y += b->n > 1 ? 42 : 0;
    to->length *= .62, to->seed = seed * 31 + (uint32_t)b->n;
  }
  one->length *= .62;
  return t;
}

/* How color k alone would look at a place. */
static lab_color alone_at(const turned *t, const body *p, int k, double x, double y, const body_point *at) {
  static body one;
  double n[3];
  one = *p;
  one.layers = 1, one.layer[0] = p->layer[k];
  spectrum seen = bait_color(t, 0, &one, x, y, at, &t->b.paint, n);
  return lab_of(xyz_of(&seen));
}

void swirled_truth(const turned *t, int bait, double share[LAYERS_MAX], lab_color color[LAYERS_MAX]) {
  const body *p = &t->b.bait[bait];
  double all = 0, counted[LAYERS_MAX] = {0};
  for (int k = 0; k < LAYERS_MAX; k++) share[k] = 0, color[k] = (lab_color){0, 0, 0};
  for (int i = 0; i < 160; i++)
    for (int j = 0; j < 60; j++) {
      double x, y, weight[LAYERS_MAX], o = ((j + .5) / 30 - 1) * 10;
      body_place(p, p->length * (.06 + .88 * i / 159), o, &x, &y);
      body_point at = body_at(p, x, y);
      if (at.body <= 0 || at.across < .12 || at.across > .88) continue;
      swirl_weights(t, p, x, y, weight);
      all++;
      for (int k = 0; k < p->layers; k++) {
        share[k] += weight[k];
        double heavy = pow(weight[k], 20); /* where it is about pure, or as pure as it gets */
        lab_color lab = alone_at(t, p, k, x, y, &at);
        counted[k] += heavy;
        color[k].L += heavy * lab.L, color[k].a += heavy * lab.a, color[k].b += heavy * lab.b;
      }
    }
  for (int k = 0; k < p->layers; k++) {
    share[k] /= all;
    color[k] = (lab_color){color[k].L / counted[k], color[k].a / counted[k], color[k].b / counted[k]};
  }
}
