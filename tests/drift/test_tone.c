/* Tones: the ellipsoid of a layer's natural colors, and the nearest point in it. */
#include "check.h"
#include "dropwise/drift.h"
#include "dropwise/numeric.h"

/* Colors around a crawfish's belly, made up. */
static size_t colors_make(dw_random *random, dw_lab *out, size_t n) {
  for (size_t i = 0; i < n; i++)
    out[i] = (dw_lab){62 + 5 * dw_random_normal(random), 14 + 2 * dw_random_normal(random),
                      26 + 4 * dw_random_normal(random)};
  return n;
}

static void metric_of(const dw_tone_range *tone, dw_lab color, double z[3]) {
  const double d[3] = {color.L - tone->center.L, color.a - tone->center.a, color.b - tone->center.b};
  double v[3];
  for (int r = 0; r < 3; r++)
    v[r] = tone->metric[3 * r] * d[0] + tone->metric[3 * r + 1] * d[1] + tone->metric[3 * r + 2] * d[2];
  for (int r = 0; r < 3; r++)
    z[r] = tone->axis[3 * r] * v[0] + tone->axis[3 * r + 1] * v[1] + tone->axis[3 * r + 2] * v[2];
}

/* Distance from z to the ellipsoid's surface by trying a fine grid of its points, then a finer one around the
 * best. */
static double brute_distance(const dw_tone_range *tone, const double z[3]) {
  double best = INFINITY, at_u = 0, at_w = 0, span = 3.2;
  for (int round = 0; round < 5; round++) {
    double u0 = at_u, w0 = at_w;
    for (int i = -60; i <= 60; i++)
      for (int j = -60; j <= 60; j++) {
        double u = u0 + span * i / 60, w = w0 + span * j / 60;
        double p[3] = {tone->half[0] * cos(u) * cos(w), tone->half[1] * sin(u) * cos(w),
                       tone->half[2] * sin(w)};
        double d = sqrt(pow(p[0] - z[0], 2) + pow(p[1] - z[1], 2) + pow(p[2] - z[2], 2));
        if (d >= best) continue;
        best = d;
        at_u = u;
        at_w = w;
      }
    span /= 20;
  }
  return best;
}

static void test_nearest_brute(void **state) {
  (void)state;
  dw_random random = dw_random_seed(3);
  dw_lab colors[12];
  dw_tone_range tone;
  dw_error err;
  size_t outside = 0;
  for (int trial = 0; trial < 60; trial++) {
    size_t n = colors_make(&random, colors, 3 + (size_t)(trial % 10));
    assert_int_equal(dw_tone_fit(colors, n, &tone, &err), DW_OK);
    dw_lab color = {62 + 20 * dw_random_normal(&random), 14 + 15 * dw_random_normal(&random),
                    26 + 15 * dw_random_normal(&random)};
    dw_tone_spot spot;
    dw_tone_place(&tone, color, &spot);
    if (spot.inside) continue;
    double z[3], p[3], on = 0, d = 0;
    metric_of(&tone, color, z);
    metric_of(&tone, spot.nearest, p);
    for (int i = 0; i < 3; i++) {
      on += p[i] * p[i] / (tone.half[i] * tone.half[i]);
      d += (p[i] - z[i]) * (p[i] - z[i]);
    }
    assert_near(on, 1, 1e-9); /* on the surface */
    assert_near(sqrt(d), brute_distance(&tone, z), 1e-4);
    assert_near(spot.away_de00, dw_de00(color, spot.nearest), 0);
    outside++;
  }
  assert_true(outside > 40);
}

/* Points on an axis, and one in the middle plane inside the ellipse's evolute, where naive solvers fail. */
static void test_nearest_on_axes(void **state) {
  (void)state;
  dw_tone_range tone = {.n = 9,
                        .center = {50, 0, 0},
                        .metric = {1, 0, 0, 0, 1, 0, 0, 0, 1},
                        .back = {1, 0, 0, 0, 1, 0, 0, 0, 1},
                        .axis = {1, 0, 0, 0, 1, 0, 0, 0, 1},
                        .half = {1, 2, 8}};
  dw_tone_spot spot;
  dw_tone_place(&tone, (dw_lab){50, 0, 20}, &spot);
  assert_near(spot.nearest.b, 8, 1e-9);
  assert_near(spot.share, 2.5, 1e-12);
  dw_tone_place(&tone, (dw_lab){53, 0, 0}, &spot);
  assert_near(spot.nearest.L, 51, 1e-9);
  dw_tone_place(&tone, (dw_lab){50, 2, 8}, &spot);
  assert_false(spot.inside);
  dw_tone_place(&tone, (dw_lab){50, 0, 7.999}, &spot);
  assert_true(spot.inside);
  assert_near(spot.away_de00, 0, 0);
}

/* Colors of the same kind lie in a tone of many references in about 95%, as its reach says. */
static void test_covers(void **state) {
  (void)state;
  enum { TONES = 100, FRESH = 400 };
  dw_random random = dw_random_seed(5);
  dw_lab colors[200], fresh;
  dw_error err;
  size_t inside = 0;
  for (int trial = 0; trial < TONES; trial++) {
    dw_tone_range tone;
    dw_tone_spot spot;
    assert_int_equal(dw_tone_fit(colors, colors_make(&random, colors, 200), &tone, &err), DW_OK);
    for (int i = 0; i < FRESH; i++) {
      colors_make(&random, &fresh, 1);
      dw_tone_place(&tone, fresh, &spot);
      inside += spot.inside;
    }
  }
  double share = (double)inside / (TONES * FRESH);
  print_message("%.1f%% of colors of the same kind lie in a tone of 200\n", 100 * share);
  assert_near(share, 0.95, 0.015);
}

/* One color makes a sphere of the usual spread, five are not trusted to be flat. */
static void test_few(void **state) {
  (void)state;
  dw_tone_range tone;
  dw_tone_spot spot;
  dw_error err;
  dw_lab one = {60, 10, 20}, same[5] = {{60, 10, 20}, {60, 10, 20}, {60, 10, 20}, {60, 10, 20}, {60, 10, 20}};
  assert_int_equal(dw_tone_fit(NULL, 0, &tone, &err), DW_TOO_FEW);
  assert_int_equal(dw_tone_fit(&one, 1, &tone, &err), DW_OK);
  assert_near(tone.half[0], tone.half[2], 1e-9);
  assert_true(tone.half[0] > 2 && tone.half[0] < 6);
  dw_tone_place(&tone, one, &spot);
  assert_true(spot.inside);
  assert_near(spot.share, 0, 1e-12);
  assert_int_equal(dw_tone_fit(same, 5, &tone, &err), DW_OK);
  assert_true(tone.half[0] > 1); /* five equal readings don't make a point of it */
}

/* ---- repeatability ------------------------------------------------------------------------------------- */

/* Pooled over baits of different color, it is the deviation that went in. */
static void test_repeatability(void **state) {
  (void)state;
  dw_random random = dw_random_seed(9);
  dw_repeatability repeat = {0};
  dw_lab one = {50, 0, 0};
  dw_repeatability_add(&repeat, &one, 1);
  assert_near(repeat.degrees, 0, 0);
  for (int bait = 0; bait < 400; bait++) {
    dw_lab photo[3];
    for (int i = 0; i < 3; i++) photo[i] = (dw_lab){50 + bait % 7 + 0.5 * dw_random_normal(&random), 0, 0};
    dw_repeatability_add(&repeat, photo, 3);
  }
  assert_near(repeat.degrees, 800, 0);
  /* L* about 53: SL is 1.04 or so (CIEDE2000's lightness weight, 1 + 0.015 3^2 / sqrt(20 + 3^2)) */
  assert_near(repeat.sd_de00, 0.5, 0.04);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_nearest_brute), cmocka_unit_test(test_nearest_on_axes),
      cmocka_unit_test(test_covers),        cmocka_unit_test(test_few),
      cmocka_unit_test(test_repeatability),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
