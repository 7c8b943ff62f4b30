/* Baits whose blend passes through the board's color: one bait, not two. Drawn by hand. */
#include "check.h"
#include "drawn.h"

#include <math.h>

enum { BAITS = 3 };
#define HALF 30.0
#define LENGTH 230.0
/* The blend's half width. */
#define BLEND 7.0

static const double center[BAITS][2] = {{150, 120}, {470, 150}, {250, 370}}, turned[BAITS] = {.1, 1.2, -.5};
/* The board is what both mix to. */
static const float pink[3] = {.34f, .13f, .20f}, green[3] = {.10f, .31f, .24f};

static float smooth(double x) {
  double t = fmin(fmax(x, 0), 1);
  return (float)(t * t * (3 - 2 * t));
}

/* gap  0: both colors mix;  else as many pixels of board lie between them */
static void baits_draw(scene *to, double gap) {
  plain(to, (pink[0] + green[0]) / 2, (pink[1] + green[1]) / 2, (pink[2] + green[2]) / 2);
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++)
      for (size_t i = 0; i < BAITS; i++) {
        double dx = x - center[i][0], dy = y - center[i][1], c = cos(turned[i]), s = sin(turned[i]);
        double along = dx * c + dy * s, across = dy * c - dx * s;
        double end = fmax(fabs(along) - (LENGTH / 2 - HALF), 0);
        if (hypot(end, across) >= HALF) continue;
        float part = gap > 0 ? across > 0 : smooth((across + BLEND) / (2 * BLEND)), color[3];
        for (int k = 0; k < 3; k++) color[k] = pink[k] + part * (green[k] - pink[k]);
        if (!(fabs(across) < gap / 2)) pixel(to, x, y, color[0], color[1], color[2]);
      }
}

static void a_blend_of_the_boards_color_parts_no_bait(void **state) {
  (void)state;
  scene s;
  begin(&s);
  baits_draw(&s, 0);
  dw_baits baits = look(&s, &(dw_bait_rules){0});
  assert_int_equal(baits.n, BAITS);
  for (size_t i = 0; i < BAITS; i++) {
    const dw_bait *bait = &baits.bait[i];
    const dw_bait_station *at = &bait->station[DW_BAIT_STATIONS / 2];
    double height = hypot(at->belly_x - at->back_x, at->belly_y - at->back_y);
    print_message("%zu layers, %.1f high\n", bait->n, height);
    assert_int_equal(bait->n, 2);
    assert_near(bait->layer[0].share, .5, .03);
    assert_near(height, 2 * HALF, .04 * 2 * HALF);
  }
  end(&s);
}

/* The board between two, with steps on both sides. */
static void what_lies_side_by_side_is_two(void **state) {
  (void)state;
  scene s;
  begin(&s);
  baits_draw(&s, 5);
  assert_int_equal(look(&s, &(dw_bait_rules){0}).n, 2 * BAITS);
  end(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_blend_of_the_boards_color_parts_no_bait),
      cmocka_unit_test(what_lies_side_by_side_is_two),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
