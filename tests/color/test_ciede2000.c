#include "check.h"
#include "dropwise/color.h"
#include "dropwise/numeric.h"

#include "color/sharma.h"

#include <lcms2.h>

static void test_sharma_pairs(void **state) {
  (void)state;
  for (int i = 0; i < 34; i++) {
    const double *p = sharma_pairs[i];
    const dw_lab one = {p[0], p[1], p[2]}, two = {p[3], p[4], p[5]};
    assert_near(round(dw_de00(one, two) * 1e4) / 1e4, p[6], 1e-12);
    assert_near(round(dw_de00(two, one) * 1e4) / 1e4, p[6], 1e-12);
  }
}

static double lcms_de00(dw_lab one, dw_lab two) {
  const cmsCIELab p = {one.L, one.a, one.b}, q = {two.L, two.a, two.b};
  return cmsCIE2000DeltaE(&p, &q, 1, 1, 1);
}

/* The formula again, by equations 2 to 22 of the paper in long double, for the cases where LittleCMS departs
 * from it. `side` is the sign of sin(h2 - h1), known from how the pair was made; 0 means exactly 180 apart.
 */
static long double paper_de00(dw_lab one, dw_lab two, int side) {
  const long double deg = acosl(-1.0L) / 180, seventh = 6103515625.0L;
  long double mean = powl((hypotl(one.a, one.b) + hypotl(two.a, two.b)) / 2, 7);
  long double G = 0.5L * (1 - sqrtl(mean / (mean + seventh)));
  long double a1 = (1 + G) * one.a, a2 = (1 + G) * two.a, c1 = hypotl(a1, one.b), c2 = hypotl(a2, two.b);
  long double h1 = atan2l(one.b, a1) / deg, h2 = atan2l(two.b, a2) / deg;
  h1 += h1 < 0 ? 360 : 0;
  h2 += h2 < 0 ? 360 : 0;
  bool apart = side != 0 && (h2 > h1) != (side > 0); /* |h2 - h1| > 180 */
  long double dh = apart ? (h2 > h1 ? h2 - h1 - 360 : h2 - h1 + 360) : h2 - h1;
  long double hm = apart ? (h1 + h2 < 360 ? (h1 + h2 + 360) / 2 : (h1 + h2 - 360) / 2) : (h1 + h2) / 2;
  long double lm = powl((one.L + two.L) / 2.0L - 50, 2), cm = (c1 + c2) / 2, c7 = powl(cm, 7);
  long double T = 1 - 0.17L * cosl((hm - 30) * deg) + 0.24L * cosl(2 * hm * deg) +
                  0.32L * cosl((3 * hm + 6) * deg) - 0.20L * cosl((4 * hm - 63) * deg);
  long double RT = -2 * sqrtl(c7 / (c7 + seventh)) * sinl(60 * deg * expl(-powl((hm - 275) / 25, 2)));
  long double dL = (two.L - one.L) / (1 + 0.015L * lm / sqrtl(20 + lm)), dC = (c2 - c1) / (1 + 0.045L * cm);
  long double dH = 2 * sqrtl(c1 * c2) * sinl(dh / 2 * deg) / (1 + 0.015L * cm * T);
  return sqrtl(dL * dL + dC * dC + dH * dH + RT * dC * dH);
}

static dw_lab random_lab(dw_random *random) {
  const double L = 100 * dw_random_uniform(random), C = 130 * dw_random_uniform(random);
  return dw_lab_from_lch((dw_lch){L, C, 360 * dw_random_uniform(random)});
}

/* Five kinds in turn: anything; close together; either side of hue 0; one or both gray; opposite hues that
 * are not within the 1e-6 degrees where LittleCMS leaves the formula. */
static void random_pair(dw_random *random, int kind, dw_lab *one, dw_lab *two) {
  *one = random_lab(random);
  *two = random_lab(random);
  const double u = dw_random_uniform(random), v = dw_random_uniform(random);
  if (kind == 1) *two = (dw_lab){one->L + 4 * u - 2, one->a + 4 * v - 2, one->b + 3 * u - 3 * v};
  if (kind == 2) {
    *one = dw_lab_from_lch((dw_lch){one->L, 90 * u, 8 * v});
    *two = dw_lab_from_lch((dw_lch){two->L, 90 * v, 360 - 8 * u});
  }
  if (kind == 3) *(u < 0.5 ? one : two) = (dw_lab){100 * u, 0, 0};
  if (kind == 3 && v < 0.1) one->a = one->b = two->a = two->b = 0;
  if (kind == 4) {
    const double away = (u < 0.5 ? -1 : 1) * (3e-6 + 3 * v * v * v);
    *two = dw_lab_from_lch((dw_lch){two->L, 100 * u, dw_lch_from_lab(*one).h + 180 + away});
  }
}

static void test_against_littlecms(void **state) {
  (void)state;
  dw_random random = dw_random_seed(2005);
  double worst = 0;
  for (int i = 0; i < 200000; i++) {
    dw_lab one, two;
    random_pair(&random, i % 5, &one, &two);
    worst = fmax(worst, fabs(dw_de00(one, two) - lcms_de00(one, two)));
  }
  print_message("largest departure from LittleCMS in 200,000 pairs: %.2g\n", worst);
  assert_true(worst < 1e-9);
}

/* Hues exactly opposite: the second is the first's mirror image in gray times a power of two, or both have
 * whole numbers for coordinates. Here rounding of the hue angles decides in LittleCMS which branch it takes;
 * ours must follow the paper in every case (docs/color-model.md#opposite-hues). */
static void test_opposite_hues(void **state) {
  (void)state;
  dw_random random = dw_random_seed(180);
  int departures = 0, n = 20000;
  for (int i = 0; i < n; i++) {
    dw_lab one = random_lab(&random), two;
    const double scale = i % 2 ? ldexp(1, i / 2 % 5 - 2) : (double)(i / 2 % 7 + 1);
    if (i % 2 == 0) one.a = round(one.a), one.b = round(one.b);
    two = (dw_lab){100 * dw_random_uniform(&random), -scale * one.a, -scale * one.b};
    assert_near(dw_de00(one, two), (double)paper_de00(one, two, 0), 1e-9);
    departures += fabs(dw_de00(one, two) - lcms_de00(one, two)) > 1e-9;
  }
  print_message("LittleCMS departs from the paper in %d of %d exactly opposite pairs\n", departures, n);
}

/* A hair off opposite, on a known side: one = (x, y), two = -(x, y) turned by the least step of b. */
static void test_nearly_opposite_hues(void **state) {
  (void)state;
  dw_random random = dw_random_seed(181);
  int departures = 0, n = 20000;
  for (int i = 0; i < n; i++) {
    dw_lab one = random_lab(&random);
    dw_lab two = {100 * dw_random_uniform(&random), -one.a, -one.b};
    const bool up = i % 2;
    two.b = nextafter(two.b, up ? INFINITY : -INFINITY);
    /* cross = a1 b2 - a2 b1 = a1 (b1 + b2): its sign is that of a1 times the step */
    const int side = (one.a > 0) == up ? 1 : -1;
    assert_near(dw_de00(one, two), (double)paper_de00(one, two, side), 1e-9);
    departures += fabs(dw_de00(one, two) - lcms_de00(one, two)) > 1e-9;
  }
  print_message("LittleCMS departs from the paper in %d of %d nearly opposite pairs\n", departures, n);
}

static void test_properties(void **state) {
  (void)state;
  dw_random random = dw_random_seed(9);
  for (int i = 0; i < 50000; i++) {
    dw_lab one, two;
    random_pair(&random, i % 5, &one, &two);
    const dw_difference d = dw_difference_between(one, two), back = dw_difference_between(two, one);
    assert_true(d.de00 > 0 && d.de00 == back.de00);
    assert_true(d.dl == -back.dl && d.dc == -back.dc && d.dh == -back.dh);
    assert_true(dw_de00(one, one) == 0);
  }
  assert_true(dw_de00((dw_lab){0, 0, 0}, (dw_lab){0, 0, 0}) == 0);
  assert_true(isfinite(dw_de00((dw_lab){0, 1e60, 0}, (dw_lab){0, 0, 1e60})));
}

/* The signs of the parts, and the whole made of them: RT is 0 to 1e-8 away from the blues. */
static void test_parts(void **state) {
  (void)state;
  const dw_lab orange = {60, 40, 50};
  const dw_lch lch = dw_lch_from_lab(orange);
  assert_true(dw_difference_between(orange, (dw_lab){65, 40, 50}).dl > 0);
  const dw_difference duller = dw_difference_between(orange, (dw_lab){60, 20, 25});
  assert_true(duller.dc < 0);
  const dw_difference yellower =
      dw_difference_between(orange, dw_lab_from_lch((dw_lch){lch.L, lch.C, lch.h + 8}));
  assert_true(yellower.dh > 0 && dw_difference_between(orange, (dw_lab){60, 50, 40}).dh < 0);
  const dw_difference all = dw_difference_between(orange, (dw_lab){52, 30, 55});
  assert_near(all.de00, sqrt(all.dl * all.dl + all.dc * all.dc + all.dh * all.dh), 1e-7);
}

/* A step of 1e-4 in any direction has the length the metric gives, where the rotation term is nil; and inside
 * the blues as soon as the step is along L*, where it plays no part. */
static void test_metric(void **state) {
  (void)state;
  dw_random random = dw_random_seed(4);
  for (int i = 0; i < 20000; i++) {
    dw_lab at = random_lab(&random);
    const double h = dw_lch_from_lab(at).h;
    if (h > 150 || i % 50 == 0) at.a = at.b = 0;
    double step[3], metric[9], square = 0;
    for (int k = 0; k < 3; k++) step[k] = 1e-4 * dw_random_normal(&random);
    dw_de00_metric(at, metric);
    for (int k = 0; k < 3; k++) {
      const double v = metric[3 * k] * step[0] + metric[3 * k + 1] * step[1] + metric[3 * k + 2] * step[2];
      square += v * v;
    }
    const dw_lab from = {at.L - step[0] / 2, at.a - step[1] / 2, at.b - step[2] / 2};
    const dw_lab to = {at.L + step[0] / 2, at.a + step[1] / 2, at.b + step[2] / 2};
    assert_near(dw_de00(from, to) / sqrt(square), 1, 1e-4);
  }
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_sharma_pairs),  cmocka_unit_test(test_against_littlecms),
      cmocka_unit_test(test_opposite_hues), cmocka_unit_test(test_nearly_opposite_hues),
      cmocka_unit_test(test_properties),    cmocka_unit_test(test_parts),
      cmocka_unit_test(test_metric)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
