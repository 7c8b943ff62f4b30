#include "scenario.h"

#include <stdio.h>

/* Drops per fl oz: back, middle, belly. The crawfish that worked; the first batch meant to match it, its
 * orange undulled and its belly too yellow; a see-through baitfish. */
static const recipe crawfish_aim[3] = {
    {{[ORANGE] = 2.5, [BROWN] = 9, [BLACK] = 0.6, [GREEN] = 1}},
    {{[ORANGE] = 8, [YELLOW] = 2, [BROWN] = 4, [WHITE] = 0.5}},
    {{[YELLOW] = 1.2, [ORANGE] = 0.7, [WHITE] = 3, [BROWN] = 0.9}},
};
static const recipe crawfish_batch[3] = {
    {{[ORANGE] = 2.5, [BROWN] = 8, [BLACK] = 0.6, [GREEN] = 1}},
    {{[ORANGE] = 10, [YELLOW] = 2, [BROWN] = 0.8, [WHITE] = 0.8}},
    {{[YELLOW] = 2.6, [ORANGE] = 0.4, [WHITE] = 3, [BROWN] = 0.2}},
};
const recipe river_minnow[3] = {
    {{[GREEN] = 1.6, [BLUE] = 0.8, [BROWN] = 1.6, [BLACK] = 0.4, [WHITE] = 0.3}},
    {{[BLUE] = 0.3, [WHITE] = 0.7, [BLACK] = 0.12}},
    {{[WHITE] = 1.5, [YELLOW] = 0.08}},
};
static const recipe minnow_flaked[3] = {
    {{[GREEN] = 1.2, [BLUE] = 1.2, [BROWN] = 1.2, [BLACK] = 0.5, [WHITE] = 0.3}},
    {{[BLUE] = 0.4, [WHITE] = 0.9, [BLACK] = 0.15}},
    {{[WHITE] = 1.6, [YELLOW] = 0.05, [RED] = 0.08}},
};
const double chip_loading[3] = {0.5, 2, 8};

static bait pour(bait_kind kind, const recipe layers[3], uint32_t seed, const double place[3]) {
  bait b = {.kind = kind, .x_mm = place[0], .y_mm = place[1], .angle_deg = place[2], .seed = seed};
  b.bend_mm = 2.0 * hash_unit(1, 1, seed) - 1.0;
  b.thickness_mm = kind == BAIT_CRAWFISH ? 13 : 12;
  for (int i = 0; i < 3; i++) b.layer[i] = plastic_mix(&layers[i]);
  b.border[0] = -0.33 + 0.03 * noise_smooth(0.5, 0, seed + 3);
  b.border[1] = 0.34 + 0.03 * noise_smooth(0.5, 0, seed + 4);
  b.blend = 0.10;
  b.flake = 0.012;
  b.gloss = 1;
  b.lamp[0] = 0.17;
  b.lamp[1] = -0.10;
  b.ripple = 0.05;
  return b;
}

static void mark_layers(shot *s, int bait_index, mark_shape shape, const double x[2]) {
  static const char *const name[3] = {"back", "middle", "belly"};
  static const double center_y[2][3] = {{-9.4, 0.2, 9.4}, {-8.8, 0.1, 8.8}}, half_y[3] = {1.9, 1.9, 1.9};
  for (int i = 0; i < 3; i++) {
    const double center[2] = {x[0], center_y[s->scene.baits[bait_index].kind == BAIT_BAITFISH][i]};
    const double half[2] = {x[1], half_y[i]};
    mark_add(&s->marks, &s->scene, bait_index, name[i], shape, center, half);
  }
}

static shot crawfish_shot(const char *name, light_kind light) {
  shot s = {.name = name,
            .balance_share = 0.97,
            .exposure = 0.93,
            .electrons = 9000,
            .quality = 89,
            .orientation = 1};
  s.scene = (scene){.width = 1400,
                    .height = 1000,
                    .light = light,
                    .slope_x = -0.045,
                    .slope_y = -0.03,
                    .vignette = 0.06,
                    .board = BOARD_GRAY,
                    .card = {167, 119, 1.5, 13},
                    .n = 1,
                    .seed = 100};
  s.scene.view = view_make(6.1, 0, 0, 0, 0, 0);
  return s;
}

static shot crawfish_aim_shot(void) {
  shot s = crawfish_shot("crawfish-1", LIGHT_DAYLIGHT);
  s.scene.baits[0] = pour(BAIT_CRAWFISH, crawfish_aim, 7, (const double[]){64, 50, 3});
  mark_layers(&s, 0, MARK_RECT, (const double[]){28, 11});
  return s;
}

/* The same bait, the same evening, under the bulb over the bench. */
static shot crawfish_warm_shot(void) {
  shot s = crawfish_shot("crawfish-3", LIGHT_WARM);
  s.balance_share = 0.80;
  s.electrons = 4500;
  s.scene.slope_x = 0.06;
  s.scene.slope_y = -0.045;
  s.scene.seed = 140;
  s.scene.view = view_make(6.0, -4, 10, 60, -6e-5, 1.2e-4);
  s.scene.card = (card_place){72, 118, -2, 13};
  s.scene.baits[0] = pour(BAIT_CRAWFISH, crawfish_aim, 7, (const double[]){80, 46, -6});
  mark_layers(&s, 0, MARK_POLY, (const double[]){28, 11});
  return s;
}

/* Two baits of one shot, the card lying crosswise, the phone held aslant. */
static shot crawfish_batch_shot(void) {
  shot s = crawfish_shot("crawfish-2", LIGHT_DAYLIGHT);
  s.scene.view = view_make(5.5, 3, 20, -8, 1.5e-4, -2.4e-4);
  s.scene.slope_x = 0.065;
  s.scene.slope_y = 0.055;
  s.scene.seed = 120;
  s.scene.card = (card_place){212, 84, 97, 13};
  s.scene.n = 2;
  s.scene.baits[0] = pour(BAIT_CRAWFISH, crawfish_batch, 17, (const double[]){62, 48, 4});
  s.scene.baits[1] = pour(BAIT_CRAWFISH, crawfish_batch, 18, (const double[]){66, 112, -5});
  mark_layers(&s, 0, MARK_POLY, (const double[]){28, 11});
  return s;
}

/* Three of one shot on a wooden board, the phone upright. */
static shot baitfish_shot(void) {
  shot s = crawfish_shot("baitfish-1", LIGHT_DAYLIGHT);
  s.orientation = 6;
  s.scene.width = 1000;
  s.scene.height = 1400;
  s.scene.board = BOARD_WOOD;
  s.scene.seed = 160;
  s.scene.card = (card_place){80, 176, -1.5, 13};
  s.scene.n = 3;
  for (int i = 0; i < 3; i++) {
    const double place[3] = {24 + 6 * (i == 1), 28 + 42.0 * i, i == 1 ? -3 : 2.0 * i};
    s.scene.baits[i] = pour(BAIT_BAITFISH, river_minnow, 31 + (uint32_t)i, place);
  }
  mark_layers(&s, 1, MARK_RECT, (const double[]){36, 11});
  return s;
}

/* Wet-looking, full of flake, under a lamp. */
static shot flaked_shot(void) {
  shot s = crawfish_shot("baitfish-2", LIGHT_LED);
  s.scene.slope_x = 0.05;
  s.scene.slope_y = -0.05;
  s.scene.seed = 180;
  s.electrons = 7000;
  s.scene.card = (card_place){60, 117, 2, 13};
  s.scene.n = 2;
  s.scene.baits[0] = pour(BAIT_BAITFISH, minnow_flaked, 41, (const double[]){62, 46, -2});
  s.scene.baits[1] = pour(BAIT_BAITFISH, minnow_flaked, 42, (const double[]){122, 96, 24});
  for (int i = 0; i < 2; i++) {
    s.scene.baits[i].flake = 0.085;
    s.scene.baits[i].ripple = 0.25;
    s.scene.baits[i].gloss = 0.9;
    s.scene.baits[i].lamp[0] = 0.095;
    s.scene.baits[i].lamp[1] = -0.04;
  }
  mark_layers(&s, 0, MARK_RECT, (const double[]){38, 11});
  return s;
}

static void mark_chip(shot *s, int chip, const recipe *r, int over_white) {
  static const double half[2] = {5.0, 2.3};
  const double center[2] = {0, over_white ? 4.0 : -4.0};
  char text[40], name[56];
  recipe_text(r, text, sizeof text);
  snprintf(name, sizeof name, "%s over %s", text[0] ? text : "clear", over_white ? "white" : "black");
  for (char *c = name; *c; c++)
    if (*c == '=') *c = ' ';
  mark *m = mark_add(&s->marks, &s->scene, chip, name, MARK_ELLIPSE, center, half);
  m->over = over_white ? "white" : "black";
  m->thickness_mm = 3;
  snprintf(m->recipe, sizeof m->recipe, "%s", text);
}

/* Chips in rows of rising loading, each lying half over black and half over white; last clear base and
 * mixtures. */
static shot chips_shot(void) {
  static const recipe last[3] = {{{0}}, {{[ORANGE] = 4, [BROWN] = 2}}, {{[BLUE] = 1, [WHITE] = 2}}};
  shot s = crawfish_shot("chips-1", LIGHT_DAYLIGHT);
  s.scene.view = view_make(6.2, 0, 12, -10, 0, 0);
  s.scene.board = BOARD_CHIPS;
  s.scene.n = 0;
  s.scene.seed = 200;
  s.scene.slope_x = 0.03;
  s.scene.slope_y = -0.04;
  s.scene.card = (card_place){112, 130, 0.8, 12.6};
  for (int row = 0; row < 3; row++)
    for (int col = 0; col <= BOTTLES; col++) {
      recipe r = {{0}};
      if (col < BOTTLES)
        r.drops[col] = chip_loading[row] * (col == BLACK ? 0.5 : 1);
      else
        r = last[row];
      bait *b = &s.scene.baits[s.scene.n];
      *b = (bait){.kind = BAIT_CHIP, .x_mm = 20 + 21.6 * col, .y_mm = 23 + 30.0 * row, .thickness_mm = 3};
      b->thickness_mm *= 1 + 0.02 * noise_smooth(col * 1.3 + 0.5, row * 1.7 + 0.5, 5);
      b->layer[0] = plastic_mix(&r);
      b->gloss = 1;
      b->lamp[0] = 0.3;
      b->lamp[1] = -0.2;
      b->ripple = 0.02;
      b->seed = 300u + (uint32_t)s.scene.n;
      s.scene.n++;
      mark_chip(&s, s.scene.n - 1, &r, 0);
      mark_chip(&s, s.scene.n - 1, &r, 1);
    }
  return s;
}

shot scenario_shot(int index) {
  static shot (*const make[SHOTS])(void) = {crawfish_aim_shot, crawfish_batch_shot, crawfish_warm_shot,
                                            baitfish_shot,     flaked_shot,         chips_shot};
  return make[index]();
}
