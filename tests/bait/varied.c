/* Boards that vary in all that a maker's photos vary in. */
#include "layout.h"
#include "paints.h"

#include "dropwise/color.h"

#include <math.h>
#include <string.h>

const char *const trouble_words[TROUBLE_KINDS] = {
    "near board", "wide blend", "pair",  "slim",   "surface",   "flake",       "gloss streak",
    "sloped",     "round",      "light", "camera", "lined mat", "hidden layer"};

/* CIEDE2000 from the board that baits have at least; and on a near board some layer has at most. */
#define BOARD_APART 8.5
#define BOARD_NEAR 12.0
#define LAYERS_APART 8.0
#define LAYER_HIDDEN 5.0
/* 10% to 90% of a blend, in its half widths. */
#define BLEND_10_90 1.22

static double chance_log(chance *dice, double low, double high) {
  return exp(between(dice, log(low), log(high)));
}

static bool happens(chance *dice, double share) {
  return chance_unit(dice) < share;
}

static double apart_de00(const lab_color *p, const lab_color *q) {
  return dw_de00((dw_lab){p->L, p->a, p->b}, (dw_lab){q->L, q->a, q->b});
}

/* The least distance of a layer from the board, at the edge and where the body is thick. */
static double from_board(const plastic *p, double thickness, const spectrum *paint, const lab_color *ground) {
  lab_color thin = color_over(p, .35 * thickness, paint), full = color_over(p, .9 * thickness, paint);
  return fmin(apart_de00(&thin, ground), apart_de00(&full, ground));
}

static void layer_make(body *b, int k, bool near, const spectrum *paint, chance *dice) {
  lab_color ground = lab_of(xyz_of(paint));
  for (int attempt = 0; attempt < 4000; attempt++) {
    b->layer[k] = any_plastic(dice);
    double far = from_board(&b->layer[k], b->thickness, paint, &ground);
    if (far < BOARD_APART || (near && far > BOARD_NEAR && attempt < 3000)) continue;
    if (k == 0) return;
    lab_color own = color_over(&b->layer[k], .9 * b->thickness, paint),
              before = color_over(&b->layer[k - 1], .9 * b->thickness, paint);
    if (apart_de00(&own, &before) >= LAYERS_APART) return;
  }
}

/* 3% to 35% of the height from 10% to 90%; a quarter of each layer is pure, as there is no color to read else. */
static void blends_make(body *b, chance *dice) {
  b->form = (blend_form)pick(dice, BLEND_FORMS);
  b->optical = happens(dice, .3);
  for (int k = 0; k + 1 < b->layers; k++) {
    double low = k ? b->border[k - 1] : 0, high = k + 2 < b->layers ? b->border[k + 1] : 1;
    double above = (b->border[k] - low) * (k ? .37 : .75),
           below = (high - b->border[k]) * (k + 2 < b->layers ? .37 : .75);
    b->blend[k] = fmin(chance_log(dice, .03, .35) / BLEND_10_90, fmin(above, below));
    b->lean[k] = happens(dice, .4) ? between(dice, -.35, .35) : 0;
    b->slope[k] = 0;
  }
}

static void slopes_make(body *b, chance *dice) {
  double both = between(dice, -.10, .10);
  for (int k = 0; k + 1 < b->layers; k++) b->slope[k] = both + between(dice, -.02, .02);
}

static void surface_make(body *b, chance *dice) {
  if (b->kind == BODY_RIBBED || happens(dice, .1))
    b->rib[0] = between(dice, .06, .2), b->rib[1] = between(dice, 2.5, 6);
  if (happens(dice, .15)) b->bumps = between(dice, .04, .14);
  b->round = happens(dice, .5) ? between(dice, .15, .55) : 0;
  b->flake = happens(dice, .4) ? between(dice, .008, .08) : 0;
  b->speck = chance_log(dice, .5, 2.2);
  b->gloss = happens(dice, .8) ? between(dice, .1, 1) : 0;
  if (!happens(dice, .25)) return;
  b->streak[0] = between(dice, .15, .6);
  b->streak[1] = between(dice, .015, .05);
  b->streak[2] = between(dice, .05, .4);
}

static void look_make(body *b, bool near, const spectrum *paint, chance *dice) {
  double draw = chance_unit(dice);
  b->layers = draw < .15 ? 1 : draw < .45 ? 2 : draw < .77 ? 3 : 4;
  int nearest = near ? pick(dice, 2) * (b->layers - 1) : -1;
  for (int k = 0; k < b->layers; k++) layer_make(b, k, k == nearest, paint, dice);
  layout_borders(b, dice);
  blends_make(b, dice);
  if (happens(dice, .3)) slopes_make(b, dice);
  surface_make(b, dice);
}

/* Another bait of the same shot: the same cups and surface, borders a little different. */
static void look_like(body *b, const body *one, chance *dice) {
  body own = *b;
  *b = *one;
  b->kind = own.kind, b->x = own.x, b->y = own.y, b->angle = own.angle, b->length = own.length;
  b->bend = own.bend, b->sway = own.sway, b->thickness = own.thickness, b->limbs = own.limbs;
  memcpy(b->half, own.half, sizeof b->half);
  memcpy(b->limb, own.limb, sizeof b->limb);
  b->flip = own.flip, b->seed = own.seed;
  for (int k = 0; k + 1 < b->layers; k++) {
    b->border[k] += between(dice, -.02, .02);
    b->slope[k] += between(dice, -.02, .02);
    b->blend[k] *= between(dice, .85, 1.05);
  }
}

static void lit(board *b, chance *dice) {
  b->light = (light_kind)pick(dice, 3);
  for (int k = 0; k < 2; k++) b->slope[k] = between(dice, -.2, .2);
  b->vignette = between(dice, 0, .3);
  double way = between(dice, 0, 6.28), far = between(dice, .4, 6);
  memcpy(b->shadow, (double[4]){far * cos(way), far * sin(way), between(dice, 1, 6), between(dice, .05, .45)},
         sizeof b->shadow);
  if (happens(dice, .25)) {
    double turn = between(dice, 0, 6.28), wide = b->width * b->mm, high = b->height * b->mm;
    double where = cos(turn) * wide * between(dice, .25, .75) + sin(turn) * high * between(dice, .25, .75);
    memcpy(
        b->cast,
        (double[5]){turn, where, chance_log(dice, 5, 45), between(dice, .08, .4), between(dice, -.12, .12)},
        sizeof b->cast);
  }
  if (happens(dice, .25))
    for (int k = 0; k < 2; k++) b->tint[k] = between(dice, -.1, .1);
  if (b->cast[3] > 0 || b->tint[0] != 0) b->trouble |= TROUBLE_LIGHT;
}

static void photographed(board *b, chance *dice) {
  b->texture = chance_log(dice, .003, .03);
  b->balance_share = between(dice, .7, 1);
  b->exposure = b->color == BOARD_WHITE ? between(dice, .6, .95) : between(dice, .75, 1.15);
  b->electrons = chance_log(dice, 700, 12000);
  b->quality = 60 + pick(dice, 36);
  b->chroma_full = happens(dice, .4);
  b->blur = b->width >= 3000 ? between(dice, .8, 1.7) : between(dice, .5, 1.1);
  b->sharpen = between(dice, 0, .8);
  for (int k = 0; k < 2; k++) b->lean[k] = between(dice, -.3, .3);
  if (b->quality < 75 || b->electrons < 1500) b->trouble |= TROUBLE_CAMERA;
}

/* Whether layer k is about what its neighbors give where they mix, and most of it is blends: nobody could tell. */
static bool is_hidden(const body *p, int k, const spectrum *paint) {
  double share = p->border[k] - p->border[k - 1], nearest = INFINITY;
  lab_color own = color_over(&p->layer[k], .9 * p->thickness, paint);
  for (int i = 1; i < 20; i++) {
    plastic mixed;
    for (int band = 0; band < BANDS; band++) {
      mixed.k.v[band] = p->layer[k - 1].k.v[band] * (1 - i / 20.0) + p->layer[k + 1].k.v[band] * (i / 20.0);
      mixed.s.v[band] = p->layer[k - 1].s.v[band] * (1 - i / 20.0) + p->layer[k + 1].s.v[band] * (i / 20.0);
    }
    lab_color mix = color_over(&mixed, .9 * p->thickness, paint);
    nearest = fmin(nearest, apart_de00(&own, &mix));
  }
  return nearest < LAYER_HIDDEN && p->blend[k - 1] + p->blend[k] > .5 * share;
}

static unsigned troubles_of(const board *b, const body *p) {
  double high = 2 * p->half[BODY_RADII / 2] / b->mm;
  unsigned t = 0;
  for (int k = 0; k + 1 < p->layers; k++) {
    if (BLEND_10_90 * p->blend[k] >= .2) t |= TROUBLE_WIDE;
    if (fabs(p->slope[k]) > .04) t |= TROUBLE_SLOPE;
  }
  for (int k = 1; k + 1 < p->layers; k++)
    if (is_hidden(p, k, &b->paint)) t |= TROUBLE_HIDDEN;
  if (high < 24) t |= TROUBLE_SLIM;
  if (p->rib[0] > 0 || p->bumps > 0) t |= TROUBLE_SURFACE;
  if (p->flake > 0) t |= TROUBLE_FLAKE;
  if (p->streak[2] > 0) t |= TROUBLE_STREAK;
  if (p->round > .4) t |= TROUBLE_ROUND;
  return t;
}

static void baits_lay(board *b, layout *l, bool near, chance *dice) {
  int want = 8 + pick(dice, 7);
  body_kind kind = (body_kind)pick(dice, BODY_KINDS_ALL);
  double size = between(dice, .6, 1.15), around = between(dice, 0, 6.28);
  bool mixed = happens(dice, .4);
  body one = body_make(kind, size, dice);
  look_make(&one, near, &b->paint, dice);
  for (int tries = 0; b->n < want && b->n < BOARD_BAITS_MAX && tries < 40; tries++) {
    body *to = &b->bait[b->n];
    if (mixed) kind = (body_kind)pick(dice, BODY_KINDS_ALL);
    *to = body_make(kind, size * between(dice, .95, 1.05), dice);
    to->flip = happens(dice, .3);
    to->angle = happens(dice, .5) ? around + between(dice, -.25, .25) : between(dice, 0, 6.28);
    to->seed = (uint32_t)(chance_unit(dice) * 1e9);
    mixed ? look_make(to, near, &b->paint, dice) : look_like(to, &one, dice);
    to->wave = between(dice, 0, .035);
    to->waver = happens(dice, .3) ? between(dice, .005, .03) : 0;
    b->bait_trouble[b->n] = troubles_of(b, to);
    const body *last = b->n ? &b->bait[b->n - 1] : NULL;
    if (last && happens(dice, .15) && fabs(last->bend) < .3 && fabs(to->bend) < .3 &&
        layout_beside(last, to, l, dice)) {
      b->bait_trouble[b->n - 1] |= TROUBLE_PAIR;
      b->bait_trouble[b->n++] |= TROUBLE_PAIR;
    } else if (layout_put(to, l, dice)) {
      b->n++;
    }
  }
}

board board_varied(uint32_t seed) {
  static const int widths[] = {1200, 1200, 1200, 1200, 1200, 1600, 1600, 1600, 1600, 2000, 3000, 4000};
  static layout l;
  chance dice = {(uint64_t)seed * 104729u + 71};
  board b = {.width = widths[pick(&dice, 12)], .seed = seed};
  bool upright = happens(&dice, .25), near = happens(&dice, .2);
  b.height = upright ? b.width : b.width * 3 / 4;
  if (upright) b.width = b.height * 3 / 4;
  memset(&l, 0, sizeof l);
  int longest = (int)between(&dice, 230, 440);
  l.w = upright ? longest * 3 / 4 : longest;
  l.h = upright ? longest : longest * 3 / 4;
  b.mm = (double)l.w / b.width;
  b.color = (board_color)pick(&dice, BOARD_COLORS_ALL);
  b.paint = paint_of(b.color);
  if (near) b.trouble |= TROUBLE_NEAR;
  if (b.color == BOARD_MAT) b.trouble |= TROUBLE_LINES;
  lit(&b, &dice);
  photographed(&b, &dice);
  if (happens(&dice, .55)) layout_card(&b, &l, 7, longest / 25.0, &dice);
  baits_lay(&b, &l, near, &dice);
  if (happens(&dice, .4)) layout_bars(&b, &l, &dice);
  return b;
}
