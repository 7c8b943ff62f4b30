/* Slim worms, bent as they are laid down: each is found, from end to end. Drawn by hand. */
#include "check.h"
#include "drawn.h"

#include <math.h>

#define HALF 18.0
enum { BENDS = 9, WORMS = 2 };
/* The middle of one of them, from its head on: bent most beside its ends. */
static const double middle[BENDS][2] = {{27, 33},  {45, 57},  {65, 89},  {78, 119}, {89, 158},
                                        {88, 197}, {77, 236}, {63, 273}, {57, 308}};
/* Where they lie; the second one is mirrored. */
static const double from[WORMS][2] = {{80, 70}, {520, 60}};

/* How far a place lies from the middle of a worm, in half heights. */
static double off_middle(double x, double y) {
  double least = INFINITY;
  for (size_t i = 0; i + 1 < BENDS; i++) {
    const double *a = middle[i], *b = middle[i + 1];
    double dx = b[0] - a[0], dy = b[1] - a[1];
    double part = ((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy);
    part = fmin(fmax(part, 0), 1);
    least = fmin(least, hypot(x - a[0] - part * dx, y - a[1] - part * dy));
  }
  return least / HALF;
}

static void worms_draw(scene *to) {
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++)
      for (size_t i = 0; i < WORMS; i++) {
        double off = off_middle(i ? from[i][0] - x : x - from[i][0], y - from[i][1]);
        float lit = (float)(.6 + .4 * sqrt(fmax(1 - off * off, 0)));
        if (off < 1) pixel(to, x, y, .6f * lit, .3f * lit, .1f * lit);
      }
}

static double length_of_middle(void) {
  double sum = 2 * HALF;
  for (size_t i = 0; i + 1 < BENDS; i++)
    sum += hypot(middle[i + 1][0] - middle[i][0], middle[i + 1][1] - middle[i][1]);
  return sum;
}

static void a_bent_worm_is_found_from_end_to_end(void **state) {
  (void)state;
  scene s;
  begin(&s);
  plain(&s, .1f, .25f, .15f);
  worms_draw(&s);
  dw_baits baits = look(&s, &(dw_bait_rules){0});
  assert_int_equal(baits.n, WORMS);
  for (size_t i = 0; i < WORMS; i++) {
    print_message("%.1f long of %.1f, %.1f high\n", baits.bait[i].length, length_of_middle(),
                  baits.bait[i].height);
    assert_near(baits.bait[i].length, length_of_middle(), .05 * length_of_middle());
    assert_near(baits.bait[i].height, 2 * HALF, .06 * 2 * HALF);
  }
  end(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_bent_worm_is_found_from_end_to_end),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
