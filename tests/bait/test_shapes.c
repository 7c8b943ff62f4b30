/* Bodies drawn by hand: an axis runs through them without a fold, gloss, a streak or broad, is no layer, a blend is as wide
 * where its border slopes as where it does not, and a large tail is no bait. */
#include "check.h"
#include "drawn.h"

#include <math.h>

/* A body about its axis, which is an arc; pixels. Its half height tapers from the head's. */
typedef struct shape {
  double length, half, bend, taper;
  bool one_color;
  double slope; /* how much farther to the belly the border lies at the tail, of the half height */
} shape;

/* A streak of gloss: where across, from -1 at the back, how bright, and how far to each side. */
typedef struct streak {
  double at, white, wide;
} streak;

static const float back_color[3] = {.10f, .07f, .03f}, belly_color[3] = {.45f, .30f, .16f};

/* Where a pixel lies along the body, 0 to 1, and across it, -1 to 1; false beside it. */
static bool in_body(const shape *b, int px, int py, double *s, double *v) {
  const double x = px - W / 2., y = py - H / 2.;
  *s = x / b->length + .5;
  if (*s <= 0 || *s >= 1) return false;
  const double round = fmin(1, fmin(*s, 1 - *s) / .15);
  *v = (y - b->bend * x * x / b->length) / (b->half * (1 - b->taper * *s * *s) * sqrt(round * (2 - round)));
  return fabs(*v) < 1;
}

static void draw(scene *to, const shape *b, const streak *gloss) {
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++) {
      double s, v;
      if (!in_body(b, x, y, &s, &v)) continue;
      const double past = fmin(fmax((v + .1 - b->slope * (s - .5)) / .2 + .5, 0), !b->one_color),
                   shade = .6 + .4 * sqrt(1 - .7 * v * v);
      const double off = gloss ? fmin(fabs(v - gloss->at) / gloss->wide, 1) : 1;
      const double white = gloss ? gloss->white * (.6 + .4 * sin(60 * s)) * pow(1 - off * off, 2) : 0;
      float rgb[3];
      for (int k = 0; k < 3; k++)
        rgb[k] =
            (float)(shade * ((1 - past) * (double)back_color[k] + past * (double)belly_color[k]) + white);
      pixel(to, x, y, rgb[0], rgb[1], rgb[2]);
    }
}

/* The largest turn from one station to the next, degrees. */
static double most_turn(const dw_bait *bait) {
  double most = 0;
  for (size_t i = 2; i < DW_BAIT_STATIONS; i++) {
    const dw_bait_station *a = &bait->station[i - 2], *b = a + 1, *c = a + 2;
    const double ux = b->x - a->x, uy = b->y - a->y, vx = c->x - b->x, vy = c->y - b->y;
    most = fmax(most, fabs(atan2(ux * vy - uy * vx, ux * vx + uy * vy)) * 57.29577951308232);
  }
  return most;
}

static void no_axis_folds(void **state) {
  (void)state;
  for (double stout = 2.6; stout < 5; stout += .4)
    for (double bend = -.6; bend <= .61; bend += .3)
      for (double taper = .35; taper < .9; taper += .2) {
        const shape body = {360, 180 / stout, bend, taper, false, 0};
        scene s;
        begin(&s);
        plain(&s, .5f, .5f, .52f);
        draw(&s, &body, NULL);
        dw_baits baits = look(&s, &(dw_bait_rules){0});
        print_message("length %.1f heights, bend %.1f, taper %.2f: ", stout, bend, taper);
        assert_int_equal(baits.n, 1);
        print_message("%zu layers, turns %.1f\n", baits.bait[0].n, most_turn(&baits.bait[0]));
        assert_true(most_turn(&baits.bait[0]) < 30);
        assert_int_equal(baits.bait[0].n, 2);
        end(&s);
      }
}

/* The layers that are found where there is such gloss. */
static size_t layers_seen(const shape *body, const streak *gloss) {
  scene s;
  begin(&s);
  plain(&s, .5f, .5f, .52f);
  draw(&s, body, gloss);
  dw_baits baits = look(&s, &(dw_bait_rules){0});
  assert_int_equal(baits.n, 1);
  size_t n = baits.bait[0].n;
  print_message("gloss %.2f at %.1f, %.2f wide: %zu layers\n", gloss->white, gloss->at, gloss->wide, n);
  end(&s);
  return n;
}

static void streak_is_no_layer(void **state) {
  (void)state;
  const shape body = {420, 50, .2, .3, false, 0};
  for (double at = -.6; at <= .61; at += .2)
    for (double white = .05; white < .5; white += .1)
      assert_int_equal(layers_seen(&body, &(streak){at, white, .15}), 2);
}

/* A dull body under a window: light over a third of it and more, fading to both sides. */
static void broad_gloss_is_no_layer(void **state) {
  (void)state;
  const shape body = {420, 50, .2, .3, true, 0};
  for (double at = -.2; at <= .21; at += .2)
    for (double wide = .5; wide < .8; wide += .25)
      for (double white = .05; white < .5; white += .2)
        assert_int_equal(layers_seen(&body, &(streak){at, white, wide}), 1);
}

/* Drawn over a tenth of the height in a straight ramp, of which 10 to 90% are .08. */
static void blend_is_as_wide_where_it_slopes(void **state) {
  (void)state;
  for (double slope = 0; slope < .65; slope += .2) {
    const shape body = {420, 50, .1, .2, false, slope};
    scene s;
    begin(&s);
    plain(&s, .5f, .5f, .52f);
    draw(&s, &body, NULL);
    dw_baits baits = look(&s, &(dw_bait_rules){0});
    assert_int_equal(baits.n, 1);
    assert_int_equal(baits.bait[0].n, 2);
    const dw_bait_blend *blend = &baits.bait[0].blend[0];
    print_message("sloping by %.1f: %.3f wide, sway %.3f\n", slope, blend->width_share, blend->sway);
    assert_true(fabs(blend->width_share - .08) < .02);
    end(&s);
  }
}

/* A flat tail that curls round by half a circle, narrow where it begins at the body's end: half as large as the body. */
static void tail_draw(scene *to, double x0, double y0) {
  const double curl = 72;
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++) {
      const double dx = x - x0, dy = y - y0 - curl, t = atan2(dx, -dy) / 3.141592653589793;
      const double wide = (8 + 17 * fmin(t / .25, 1)) * (1 - .8 * fmax(t - .6, 0) / .4);
      if (t < 0 || fabs(hypot(dx, dy) - curl) >= wide) continue;
      pixel(to, x, y, belly_color[0], belly_color[1], belly_color[2]);
    }
}

static void curled_tail_is_no_bait(void **state) {
  (void)state;
  const shape body = {300, 36, 0, .55, false, 0};
  scene s;
  begin(&s);
  plain(&s, .5f, .5f, .52f);
  draw(&s, &body, NULL);
  tail_draw(&s, W / 2. + 146, H / 2.);
  dw_baits baits = look(&s, &(dw_bait_rules){0});
  assert_int_equal(baits.n, 1);
  print_message("%zu layers, bent by %.0f\n", baits.bait[0].n, baits.bait[0].bend_deg);
  assert_int_equal(baits.bait[0].n, 2);
  end(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(no_axis_folds),           cmocka_unit_test(streak_is_no_layer),
      cmocka_unit_test(broad_gloss_is_no_layer), cmocka_unit_test(blend_is_as_wide_where_it_slopes),
      cmocka_unit_test(curled_tail_is_no_bait),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
