/* Small pictures drawn pixel by pixel, in linear light, and looked at without a card. */
#ifndef DRAWN_H
#define DRAWN_H

#include "check.h"

#include "dropwise/bait.h"

#include <string.h>

enum { W = 640, H = 480 };
typedef struct scene {
  dw_arena *arena;
  dw_light *light;
  dw_patch photo;
} scene;

static inline void begin(scene *s) {
  s->arena = dw_arena_new(0);
  assert_int_equal(dw_light_none(&s->light, NULL), DW_OK);
  s->photo = (dw_patch){.rect = {0, 0, W, H}, .step = 1};
  s->photo.rgb = dw_arena_take(s->arena, (size_t)W * H, 3 * sizeof(float));
  s->photo.clip = dw_arena_take(s->arena, (size_t)W * H, 1);
}

static inline void end(scene *s) {
  dw_light_free(s->light);
  dw_arena_free(s->arena);
}

static inline void pixel(scene *s, int x, int y, float r, float g, float b) {
  const float rgb[3] = {r, g, b};
  memcpy(s->photo.rgb + 3 * (y * W + x), rgb, sizeof rgb);
}

static inline void plain(scene *s, float r, float g, float b) {
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++) pixel(s, x, y, r, g, b);
}

static inline dw_baits look(scene *s, const dw_bait_rules *rules) {
  dw_baits baits;
  dw_error err;
  assert_int_equal(dw_baits_find(&s->photo, rules, s->light, s->arena, &baits, &err), DW_OK);
  return baits;
}

#endif
