/* What lies on board number `seed`, and how it was photographed. */
#include "layout.h"
#include "paints.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Layers that differ from each other and, thin as at the edge, from the board. */
static void layers_make(body *b, const spectrum *paint, chance *dice) {
  double draw = chance_unit(dice);
  lab_color ground = lab_of(xyz_of(paint)), before = ground;
  b->layers = draw < .15 ? 1 : draw < .5 ? 2 : draw < .85 ? 3 : 4;
  for (int k = 0; k < b->layers; k++)
    for (int attempt = 0; attempt < 400; attempt++) {
      b->layer[k] = any_plastic(dice);
      lab_color thin = color_over(&b->layer[k], b->thickness * .35, paint),
                full = color_over(&b->layer[k], b->thickness * .9, paint);
      if (color_apart(&thin, &ground) < 15 || color_apart(&full, &ground) < 15 ||
          (k && color_apart(&full, &before) < 11))
        continue;
      before = full;
      break;
    }
  layout_borders(b, dice);
  for (int k = 0; k + 1 < b->layers; k++) {
    double low = k ? b->border[k - 1] : 0, high = k + 2 < b->layers ? b->border[k + 1] : 1;
    double most = .45 * fmin(b->border[k] - low, high - b->border[k]);
    b->blend[k] = fmin(between(dice, .01, .16), most);
  }
}

static void photographed(board *b, chance *dice) {
  b->light = (light_kind)pick(dice, 3);
  b->slope[0] = between(dice, -.16, .16);
  b->slope[1] = between(dice, -.16, .16);
  b->vignette = between(dice, 0, .22);
  double way = between(dice, 0, 6.28), far = between(dice, .8, 5);
  memcpy(b->shadow,
         (double[4]){far * cos(way), far * sin(way), between(dice, 1.2, 4.5), between(dice, .08, .42)},
         sizeof b->shadow);
  b->texture = between(dice, .004, .025);
  b->balance_share = between(dice, .75, 1);
  b->exposure = b->color == BOARD_WHITE ? between(dice, .7, .95) : between(dice, .8, 1.15);
  b->electrons = exp(between(dice, log(1500), log(9000)));
  b->quality = 72 + pick(dice, 26);
  for (int k = 0; k < 2; k++) b->lean[k] = between(dice, -.12, .12);
}

static void bait_finish(body *b, const spectrum *paint, chance *dice) {
  layers_make(b, paint, dice);
  b->wave = between(dice, 0, .035);
  b->flake = chance_unit(dice) < .4 ? between(dice, .01, .07) : 0;
  b->gloss = chance_unit(dice) < .8 ? between(dice, .15, 1) : 0;
  b->seed = (uint32_t)(chance_unit(dice) * 1e9);
}

board board_make(uint32_t seed, int width, int most_baits) {
  chance dice = {(uint64_t)seed * 7919u + 17};
  board b = {.width = width, .height = width * 3 / 4, .seed = seed};
  static layout l;
  memset(&l, 0, sizeof l);
  l.w = (int)between(&dice, 260, 420);
  l.h = l.w * 3 / 4;
  b.mm = (double)l.w / width;
  b.color = (board_color)(seed % BOARD_COLORS);
  b.paint = paint_of(b.color);
  photographed(&b, &dice);
  if (chance_unit(&dice) < .5) layout_card(&b, &l, 9, 15, &dice);
  int want = most_baits ? most_baits : 6 + pick(&dice, 10);
  body_kind kind = (body_kind)pick(&dice, BODY_KINDS);
  double size = between(&dice, .6, 1.15), around = between(&dice, 0, 6.28);
  bool mixed = chance_unit(&dice) < .4;
  body one = body_make(kind, size, &dice);
  bait_finish(&one, &b.paint, &dice);
  while (want-- > 0 && b.n < BOARD_BAITS_MAX) {
    body *to = &b.bait[b.n];
    if (mixed) kind = (body_kind)pick(&dice, BODY_KINDS);
    *to = body_make(kind, size * between(&dice, .95, 1.05), &dice);
    to->flip = chance_unit(&dice) < .3;
    to->angle = chance_unit(&dice) < .5 ? around + between(&dice, -.25, .25) : between(&dice, 0, 6.28);
    bait_finish(to, &b.paint, &dice);
    if (!mixed) { /* one shot of the same cups: colors alike, borders a little different */
      to->layers = one.layers;
      memcpy(to->layer, one.layer, sizeof to->layer);
      memcpy(to->blend, one.blend, sizeof to->blend);
      for (int k = 0; k + 1 < one.layers; k++) to->border[k] = one.border[k] + between(&dice, -.03, .03);
    }
    bool pair = b.n > 0 && chance_unit(&dice) < .12 && fabs(b.bait[b.n - 1].bend) < .3 &&
                fabs(to->bend) < .3 && layout_beside(&b.bait[b.n - 1], to, &l, &dice);
    if (pair || layout_put(to, &l, &dice)) b.n++;
  }
  if (chance_unit(&dice) < .45) layout_bars(&b, &l, &dice);
  return b;
}
