/* Drops of cups on a white table. */
#include "boards.h"

#include <math.h>
#include <string.h>

double drop_depth(const table_drop *d, double x, double y) {
  double c = cos(d->smear[1]), s = sin(d->smear[1]), dx = x - d->x, dy = y - d->y;
  double u = (c * dx + s * dy) / sqrt(d->smear[0]), v = (c * dy - s * dx) * sqrt(d->smear[0]);
  double away = hypot(u, v) / d->radius, way = atan2(v, u), edge = 1;
  for (int k = 0; k < DROP_WAVES; k++) edge += d->wave[k][0] * cos((k + 2) * way + d->wave[k][1]);
  away /= edge;
  if (away >= 1) return 0;
  return d->thickness * pow(1 - away * away, d->power) * (1 + .04 * noise_smooth(x / 6, y / 6, d->seed + 9));
}

static void photographed(board *b, chance *dice) {
  static const double white[4] = {.78, .72, .86, .80};
  b->light = (light_kind)(b->seed % 3);
  b->slope[0] = between(dice, -.1, .1);
  b->slope[1] = between(dice, -.1, .1);
  b->vignette = between(dice, 0, .15);
  b->texture = between(dice, .003, .012);
  b->balance_share = between(dice, .8, 1);
  b->exposure = between(dice, .72, .92);
  b->electrons = exp(between(dice, log(2500), log(9000)));
  b->quality = 80 + (int)(chance_unit(dice) * 18);
  for (int k = 0; k < 2; k++) b->lean[k] = between(dice, -.08, .08);
  b->paint = spectrum_flat(white[b->seed % 4]); /* plate, paper, paint */
  double warm = between(dice, 0, .05);
  for (int i = 0; i < BANDS; i++) b->paint.v[i] *= 1 - warm * falling(band_nm(i), 480, 30);
}

static table_drop drop_make(const drizzle_cup *cup, double radius, chance *dice) {
  table_drop d = {
      .radius = radius * between(dice, .8, 1.2), .thickness = cup->thickness, .of = plastic_mix(&cup->put)};
  d.smear[0] = chance_unit(dice) < .4 ? between(dice, 1.2, 1.7) : 1;
  d.smear[1] = between(dice, 0, 3.14);
  for (int k = 0; k < DROP_WAVES; k++) {
    d.wave[k][0] = between(dice, 0, .06) / (k + 1);
    d.wave[k][1] = between(dice, 0, 6.28);
  }
  d.power = between(dice, .25, .6);
  d.gloss = between(dice, .5, 1.2);
  d.seed = (uint32_t)(chance_unit(dice) * 1e9);
  return d;
}

board drizzle_make(uint32_t seed, int width, const drizzle_cup *cups, int n) {
  chance dice = {(uint64_t)seed * 4241u + 29};
  board b = {.width = width, .height = width * 3 / 4, .seed = seed, .color = BOARD_WHITE};
  double h = between(&dice, 130, 210), w = h * 4 / 3, pitch = .055 * h;
  bool upright = chance_unit(&dice) < .4;
  b.mm = w / width;
  photographed(&b, &dice);
  b.has_card = true;
  double card[4] = {upright ? .3 * w : between(&dice, .35, .65) * w,
                    upright ? between(&dice, .35, .65) * h : .27 * h, between(&dice, -.15, .15), pitch};
  memcpy(b.card, card, sizeof card);
  double radius = between(&dice, .05, .075) * h * (n > 3 ? .8 : 1), last = 0,
         start = (upright ? .14 : .13) * h;
  bool touch = n > 1 && chance_unit(&dice) < .35;
  for (int i = 0; i < n; i++) {
    table_drop d = drop_make(&cups[i], radius, &dice);
    double along = i ? last + (touch && i == 1 ? 1.85 : between(&dice, 2.7, 3.2)) * radius : start;
    double across = between(&dice, -.25, .25) * radius + (upright ? .8 * w : .75 * h);
    if (touch && i < 2) across = (upright ? .8 * w : .75 * h), d.smear[0] = 1;
    d.x = upright ? across : along + .1 * w, d.y = upright ? along : across;
    last = along;
    b.drop[b.drops++] = d;
  }
  return b;
}
