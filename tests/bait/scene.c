/* What lies on board number `seed`, and how it was photographed. */
#include "boards.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *const board_color_words[BOARD_COLORS] = {"white", "light gray", "dark gray", "black",
                                                     "blue",  "wood",       "green"};

enum { MM_MAX = 480 };
typedef struct layout {
  uint8_t taken[MM_MAX][MM_MAX]; /* by mm: something lies within the gap */
  int w, h;
} layout;

static int pick(chance *dice, int n) {
  return (int)(chance_unit(dice) * n) % n;
}

static spectrum paint_of(board_color color) {
  static const double level[BOARD_COLORS] = {.80, .46, .17, .042, .05, .20, .06};
  spectrum s;
  for (int i = 0; i < BANDS; i++) {
    double nm = band_nm(i);
    s.v[i] = level[color] * (1 - .5 * falling(nm, 392, 9));
    if (color == BOARD_BLUE) s.v[i] += .34 * bell(nm, 462, 34);
    if (color == BOARD_GREEN) s.v[i] += .20 * bell(nm, 528, 32);
    if (color == BOARD_WOODEN) s.v[i] += .38 * step_smooth(390, 730, nm);
  }
  return s;
}

static plastic any_plastic(chance *dice) {
  recipe r = {{0}};
  int colors = 1 + pick(dice, 2);
  for (int i = 0; i < colors; i++) r.drops[pick(dice, BOTTLES)] += exp(between(dice, log(.8), log(9)));
  if (chance_unit(dice) < .6) r.drops[WHITE] += between(dice, .3, 3);
  if (chance_unit(dice) < .4) r.drops[BROWN] += between(dice, .5, 4);
  return plastic_mix(&r);
}

static double apart(const lab_color *p, const lab_color *q) {
  /* CIE94 (graphic arts) is near enough to choose by; it is not what the test judges. */
  double cp = hypot(p->a, p->b), cq = hypot(q->a, q->b), dl = p->L - q->L, dc = cp - cq;
  double dh2 = fmax(pow(p->a - q->a, 2) + pow(p->b - q->b, 2) - dc * dc, 0), c = sqrt(cp * cq);
  return sqrt(dl * dl + pow(dc / (1 + .045 * c), 2) + dh2 / pow(1 + .015 * c, 2));
}

static lab_color color_over(const plastic *p, double thickness, const spectrum *paint) {
  spectrum seen = plastic_seen(p, thickness, paint);
  return lab_of(xyz_of(&seen));
}

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
      if (apart(&thin, &ground) < 15 || apart(&full, &ground) < 15 || (k && apart(&full, &before) < 11))
        continue;
      before = full;
      break;
    }
  double least = b->layers == 4 ? .14 : .16, sum = 0, share[LAYERS_MAX];
  for (int k = 0; k < b->layers; k++) sum += share[k] = between(dice, .5, 1.3);
  double at = 0, room = 1 - least * b->layers;
  for (int k = 0; k + 1 < b->layers; k++) {
    at += least + room * share[k] / sum;
    b->border[k] = at;
  }
  for (int k = 0; k + 1 < b->layers; k++) {
    double low = k ? b->border[k - 1] : 0, high = k + 2 < b->layers ? b->border[k + 1] : 1;
    double most = .45 * fmin(b->border[k] - low, high - b->border[k]);
    b->blend[k] = fmin(between(dice, .01, .16), most);
  }
}

static void spots_of(const body *b, double gap, bool free_there, layout *l, bool *clear) {
  double reach = b->length * .9 + 40;
  for (int y = (int)fmax(b->y - reach, 0); y < fmin(b->y + reach, l->h); y++)
    for (int x = (int)fmax(b->x - reach, 0); x < fmin(b->x + reach, l->w); x++) {
      if (body_at(b, x + .5, y + .5).inside < -gap) continue;
      bool edge = x < 14 || y < 14 || x >= l->w - 14 || y >= l->h - 14;
      if (free_there && (edge || l->taken[y][x])) *clear = false;
      if (!free_there) l->taken[y][x] = 1;
    }
}

static bool put(body *b, layout *l, chance *dice) {
  for (int attempt = 0; attempt < 60; attempt++) {
    bool clear = true;
    b->x = between(dice, 15, l->w - 15);
    b->y = between(dice, 15, l->h - 15);
    spots_of(b, 3.5, true, l, &clear);
    if (!clear) continue;
    spots_of(b, 0, false, l, &clear);
    return true;
  }
  return false;
}

/* A second bait against the first one's side, or its nose at the first one's tail. */
static bool put_beside(const body *first, body *b, layout *l, chance *dice) {
  bool clear = true, side = chance_unit(dice) < .5;
  b->angle = first->angle + (side ? 0 : between(dice, -.5, .5));
  double gap = side ? 0 : .1 * b->length;
  body_place(first, side ? first->length * .5 : first->length + b->length * .5 - gap * .1,
             side ? first->half[4] + b->half[4] - .4 : 0, &b->x, &b->y);
  spots_of(b, -1.5, true, l, &clear);
  if (clear) spots_of(b, 0, false, l, &clear);
  return clear;
}

static void put_card(board *b, layout *l, chance *dice) {
  double pitch = between(dice, 9, 15);
  b->has_card = true;
  memcpy(b->card,
         (double[4]){between(dice, 4.2 * pitch, l->w - 4.2 * pitch), 3.6 * pitch + 3,
                     between(dice, -.25, .25), pitch},
         sizeof b->card);
  if (chance_unit(dice) < .5) b->card[1] = l->h - b->card[1];
  for (int y = 0; y < l->h; y++)
    for (int x = 0; x < l->w; x++)
      if (hypot(x - b->card[0], y - b->card[1]) < 4.6 * pitch) l->taken[y][x] = 1;
}

/* A runner from one bait's nose to another's, or a stub of sprue at one nose. */
static void put_bars(board *b, layout *l, chance *dice) {
  for (int i = 0; i < b->n && b->bars < BARS_MAX; i++) {
    if (chance_unit(dice) > .25) continue;
    const body *p = &b->bait[i];
    bar *r = &b->bar[b->bars];
    body_place(p, 2, 0, &r->x0, &r->y0);
    body_place(p, -between(dice, 8, 16), between(dice, -4, 4), &r->x1, &r->y1);
    if (r->x1 < 3 || r->y1 < 3 || r->x1 > l->w - 3 || r->y1 > l->h - 3) continue;
    int x = (int)r->x1, y = (int)r->y1;
    if (l->taken[y][x]) continue;
    r->radius = between(dice, 1.4, 2.6);
    r->of = p->layer[0];
    b->bars++;
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
  if (chance_unit(&dice) < .5) put_card(&b, &l, &dice);
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
                fabs(to->bend) < .3 && put_beside(&b.bait[b.n - 1], to, &l, &dice);
    if (pair || put(to, &l, &dice)) b.n++;
  }
  if (chance_unit(&dice) < .45) put_bars(&b, &l, &dice);
  return b;
}
