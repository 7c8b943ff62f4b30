/* Baits across two strips. */
#include "boards.h"

#include <stdlib.h>

/* Little colorant, as for a small baitfish: light comes through. */
static plastic thin_plastic(chance *dice, int k) {
  static const bottle first[] = {GREEN, ORANGE, BLUE, BROWN}, second[] = {WHITE, YELLOW, RED, WHITE};
  recipe r = {{0}};
  r.drops[first[(unsigned)k % 4]] = between(dice, .4, 2.5);
  r.drops[second[(unsigned)(k + (int)(3 * chance_unit(dice))) % 4]] += between(dice, .1, .8);
  return plastic_mix(&r);
}

board strips_make(uint32_t seed, int width) {
  chance dice = {(uint64_t)seed * 6151u + 5};
  board b = {.width = width, .height = width * 3 / 4, .seed = seed, .strips = true, .color = BOARD_WHITE};
  double w = 300, h = 225;
  b.mm = w / width;
  b.paint = spectrum_flat(STRIP_WHITE);
  b.edge[0] = between(&dice, .47, .53) * w;
  b.edge[1] = between(&dice, -.08, .08);
  b.light = (light_kind)(seed % 3);
  b.slope[0] = between(&dice, -.08, .08);
  b.vignette = between(&dice, 0, .12);
  double shadow[4] = {between(&dice, .5, 2), between(&dice, .5, 2), 2, between(&dice, .08, .3)};
  for (int i = 0; i < 4; i++) b.shadow[i] = shadow[i];
  b.texture = .006;
  b.balance_share = .9;
  b.exposure = .85;
  b.electrons = 6000;
  b.quality = 92;
  b.has_card = true;
  double card[4] = {.22 * w, h - 40, between(&dice, -.1, .1), 10};
  for (int i = 0; i < 4; i++) b.card[i] = card[i];
  int layers = 1 + (int)(seed % 3);
  body one = body_make(seed % 2 ? BODY_STICK : BODY_MINNOW, 1, &dice);
  for (int k = 0; k < layers; k++) one.layer[k] = thin_plastic(&dice, k + (int)seed);
  for (b.n = 0; b.n < 3; b.n++) {
    body *to = &b.bait[b.n];
    *to = body_make(seed % 2 ? BODY_STICK : BODY_MINNOW, 1, &dice);
    to->limbs = 0;
    to->bend = to->sway = 0;
    to->angle = between(&dice, -.08, .08);
    to->y = 30 + 40 * b.n;
    to->x = b.edge[0] + b.edge[1] * (to->y - .5 * h) + between(&dice, -4, 4);
    to->layers = layers;
    for (int k = 0; k < layers; k++) to->layer[k] = one.layer[k];
    for (int k = 0; k + 1 < layers; k++) to->border[k] = (k + 1.0) / layers, to->blend[k] = .04;
    to->gloss = .3;
    to->seed = seed + (uint32_t)b.n;
  }
  return b;
}

board sheet_make(uint32_t seed, int width, const chip_line *lines, int n) {
  chance dice = {(uint64_t)seed * 3571u + 11};
  board b = strips_make(seed, width);
  double w = 300, h = 225, card[4] = {.25 * w, h - 34, 0, 10};
  for (int i = 0; i < 4; i++) b.card[i] = card[i];
  b.n = 0;
  b.edge[0] = .5 * w, b.edge[1] = between(&dice, -.02, .02);
  for (int side = 0; side < 2; side++)
    for (int r = 0; r < n; r++)
      for (int k = 0; k < lines[r].n; k++) {
        b.chip[b.chips].x = (side ? .5 * w + 22 : 16) + 27 * k + between(&dice, -1.5, 1.5);
        b.chip[b.chips].y = 20 + 28 * r + between(&dice, -1.5, 1.5);
        b.chip[b.chips].half = 9;
        b.chip[b.chips++].of = plastic_mix(&lines[r].of[k]);
      }
  return b;
}

static int by_value(const void *a, const void *b) {
  double p = *(const double *)a, q = *(const double *)b;
  return (p > q) - (p < q);
}

double strips_ratio(const body *b, int layer) {
  static double dark[2400], light[2400];
  const spectrum black = spectrum_flat(STRIP_BLACK), white = spectrum_flat(STRIP_WHITE);
  size_t n = 0;
  for (int i = 0; i < 40; i++)
    for (int j = 0; j < 60; j++) {
      double x, y, weight[LAYERS_MAX], o = ((j + .5) / 30 - 1) * b->half[BODY_RADII / 2] * 1.2;
      body_place(b, b->length * (.12 + .76 * i / 39), o, &x, &y);
      body_point at = body_at(b, x, y);
      body_weights(b, at.along, at.across, weight);
      if (at.body <= 0 || weight[layer] < .97 || at.across < .1 || at.across > .9) continue;
      spectrum over_black = plastic_seen(&b->layer[layer], at.thickness, &black),
               over_white = plastic_seen(&b->layer[layer], at.thickness, &white);
      dark[n] = xyz_of(&over_black).v[1];
      light[n++] = xyz_of(&over_white).v[1];
    }
  qsort(dark, n, sizeof *dark, by_value);
  qsort(light, n, sizeof *light, by_value);
  return dark[n / 2] / light[n / 2];
}
