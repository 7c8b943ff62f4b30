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

/* What is found: whole bodies of one color, or halves of two. */
static void expect(scene *s, size_t layers) {
  dw_baits baits = look(s, &(dw_bait_rules){0});
  assert_int_equal(baits.n, BAITS);
  for (size_t i = 0; i < BAITS; i++) {
    const dw_bait *bait = &baits.bait[i];
    print_message("%zu layers, %.1f high\n", bait->n, bait->height);
    assert_int_equal(bait->n, layers);
    if (layers == 1) assert_near(bait->height, 2 * HALF, .05 * 2 * HALF);
    if (layers == 2) assert_near(bait->layer[0].share, .5, .06);
  }
  end(s);
}

static void a_shadow_is_no_layer(void **state) {
  (void)state;
  scene s;
  begin(&s);
  plain(&s, board[0], board[1], board[2]);
  baits_draw(&s, turned, true, NULL);
  expect(&s, 1);
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
  expect(&s, 2);
}

/* ---- a broad light beside a blue one: soft shadows, all of one tint -------------------------------------------- */

/* Of the light on the board, what the broad one gives. */
static const float broad[3] = {.80f, .72f, .52f};
enum { LIGHT_SIDE = 7 };

/* The share of the broad light that baits take from a place of the board: it comes from a square of directions. */
static float taken(const double *way, int x, int y) {
  int hidden = 0;
  for (int k = 0; k < LIGHT_SIDE * LIGHT_SIDE; k++) {
    double v, fx = .2 + 1.6 * (k % LIGHT_SIDE) / (LIGHT_SIDE - 1.),
              fy = .2 + 1.6 * (k / LIGHT_SIDE) / (LIGHT_SIDE - 1.);
    bool hits = false;
    for (size_t i = 0; i < BAITS && !hits; i++)
      hits = in_bait(i, way[i], x - ASIDE_X * fx, y - ASIDE_Y * fy, &v);
    hidden += hits;
  }
  return (float)hidden / (LIGHT_SIDE * LIGHT_SIDE);
}

static void soft_draw(scene *s, const double *way, const float *belly) {
  begin(s);
  plain(s, board[0], board[1], board[2]);
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++) {
      float less = taken(way, x, y);
      pixel(s, x, y, board[0] * (1 - less * broad[0]), board[1] * (1 - less * broad[1]),
            board[2] * (1 - less * broad[2]));
    }
  baits_draw(s, way, false, belly);
}

static void a_tinted_shadow_is_no_layer(void **state) {
  (void)state;
  scene s;
  soft_draw(&s, turned, NULL);
  expect(&s, 1);
}

/* Where shadows are blue, the board's own color, darkened, is plastic. */
static void a_flat_layer_without_the_tint_is_no_shadow(void **state) {
  (void)state;
  static const double backs_down[BAITS] = {.1 + 3.1416, 1.2 + 3.1416, -.5 + 3.1416};
  const float belly[3] = {LEFT * board[0], LEFT * board[1], LEFT * board[2]};
  scene s;
  soft_draw(&s, backs_down, belly);
  expect(&s, 2);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_shadow_is_no_layer),
      cmocka_unit_test(a_flat_layer_is_no_shadow),
      cmocka_unit_test(a_tinted_shadow_is_no_layer),
      cmocka_unit_test(a_flat_layer_without_the_tint_is_no_shadow),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
