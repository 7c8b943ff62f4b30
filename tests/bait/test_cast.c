/* Shadows with an edge, as the sun or one lamp casts them: no layer, and no part of a bait. Drawn by hand. */
#include "check.h"
#include "drawn.h"

#include <math.h>

enum { BAITS = 3 };
#define HALF 32.0
#define LENGTH 210.0
/* Where a shadow lies from its bait, and what it leaves of the light. */
#define ASIDE_X 15.0
#define ASIDE_Y 20.0
#define LEFT 0.33f

static const double center[BAITS][2] = {{150, 110}, {460, 150}, {250, 350}}, turned[BAITS] = {.1, 1.2, -.5};
static const float board[3] = {.42f, .40f, .36f}, olive[3] = {.16f, .17f, .04f},
                   cream[3] = {.75f, .62f, .40f};

/* Where a place lies across a bait, -1 to 1 from its back; false beside it. */
static bool in_bait(size_t i, double way, double x, double y, double *v) {
  double dx = x - center[i][0], dy = y - center[i][1], c = cos(way), s = sin(way);
  double along = fabs(dx * c + dy * s) - (LENGTH / 2 - HALF), end = fmax(along, 0) / HALF;
  if (end >= 1) return false;
  *v = (dy * c - dx * s) / (HALF * sqrt(1 - end * end));
  return fabs(*v) < 1;
}

/* belly  its color, flat as a shadow; NULL: one color */
static void baits_draw(scene *to, const double *way, bool shadows, const float *belly) {
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++)
      for (size_t i = 0; i < BAITS; i++) {
        double v;
        if (in_bait(i, way[i], x, y, &v)) {
          float shade = (float)(.55 + .45 * sqrt(1 - v * v));
          const float *c = i % 2 ? olive : cream, lit = belly && v > 0 ? 1 : shade;
          if (belly && v > 0) c = belly;
          pixel(to, x, y, lit * c[0], lit * c[1], lit * c[2]);
          break;
        }
        if (!shadows || !in_bait(i, way[i], x - ASIDE_X, y - ASIDE_Y, &v)) continue;
        bool bait = false;
        for (size_t k = 0; k < BAITS; k++) bait |= in_bait(k, way[k], x, y, &v);
        if (!bait) pixel(to, x, y, LEFT * board[0], LEFT * board[1], LEFT * board[2]);
      }
}

static void a_shadow_is_no_layer(void **state) {
  (void)state;
  scene s;
  begin(&s);
  plain(&s, board[0], board[1], board[2]);
  baits_draw(&s, turned, true, NULL);
  dw_baits baits = look(&s, &(dw_bait_rules){0});
  assert_int_equal(baits.n, BAITS);
  for (size_t i = 0; i < BAITS; i++) {
    print_message("%zu layers, %.1f high\n", baits.bait[i].n, baits.bait[i].height);
    assert_int_equal(baits.bait[i].n, 1);
    assert_near(baits.bait[i].height, 2 * HALF, .05 * 2 * HALF);
  }
  end(&s);
}

/* The same color in baits that lie round about is a layer: their bellies lie to several sides. */
static void a_flat_layer_is_no_shadow(void **state) {
  (void)state;
  static const double about[BAITS] = {0, 2.1, 4.2};
  const float dark[3] = {LEFT * board[0], LEFT * board[1], LEFT * board[2]};
  scene s;
  begin(&s);
  plain(&s, board[0], board[1], board[2]);
  baits_draw(&s, about, false, dark);
  dw_baits baits = look(&s, &(dw_bait_rules){0});
  assert_int_equal(baits.n, BAITS);
  for (size_t i = 0; i < BAITS; i++) {
    print_message("%zu layers, %.1f high\n", baits.bait[i].n, baits.bait[i].height);
    assert_int_equal(baits.bait[i].n, 2);
    assert_near(baits.bait[i].layer[0].share, .5, .06);
  }
  end(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_shadow_is_no_layer),
      cmocka_unit_test(a_flat_layer_is_no_shadow),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
