/* The renderer whose photos judge core is itself held to facts. */
#include "check.h"

#include "dropwise/card.h"
#include "dropwise/color.h"
#include "plastic.h"

static const recipe crawfish_middle = {{[ORANGE] = 8, [BROWN] = 4, [WHITE] = 0.5}};

/* The perfect diffuser is L* 100 (CIE 15), white in sRGB (IEC 61966-2-1), and D50 as ICC.1 gives it. */
static void test_white(void **state) {
  (void)state;
  spectrum one = spectrum_flat(1);
  xyz_color white = xyz_of(&one);
  lab_color lab = lab_of(white);
  double rgb[3];
  linear_srgb_of(white, rgb);
  assert_near(lab.L, 100, 1e-9);
  assert_near(hypot(lab.a, lab.b), 0, 1e-9);
  assert_near(white.v[0], 0.9642, 0.001);
  assert_near(white.v[2], 0.8249, 0.001);
  for (int i = 0; i < 3; i++) assert_near(rgb[i], 1, 0.003);
}

/* The renderer's own CIELAB against core's, and the tables against the white of D65 (CIE 15). */
static void test_color_agrees(void **state) {
  (void)state;
  xyz_color gray = {{0.9642 * 0.2, 0.2, 0.8249 * 0.2}};
  assert_near(lab_of(gray).L, dw_lab_from_xyz((dw_xyz){0.9642 * 0.2, 0.2, 0.8249 * 0.2}).L, 1e-6);
  double sum[3] = {0, 0, 0};
  for (int c = 0; c < 3; c++)
    for (int i = 0; i < BANDS; i++) sum[c] += observer[c][i] * daylight[1][i];
  assert_near(sum[0] / sum[1], 0.9504, 0.002);
  assert_near(sum[2] / sum[1], 1.0889, 0.003);
}

/* The chart's spectra have its published colors. */
static void test_card_spectra(void **state) {
  (void)state;
  const dw_card *card = dw_card_named("grid24");
  for (int i = 0; i < 24; i++) {
    spectrum s;
    for (int k = 0; k < BANDS; k++) {
      assert_true(card_patch[i][k] > 0 && card_patch[i][k] < 1);
      s.v[k] = card_patch[i][k];
    }
    lab_color lab = lab_of(xyz_of(&s));
    assert_near(dw_de00((dw_lab){lab.L, lab.a, lab.b}, card->lab[i]), 0, 0.5);
  }
}

static double surface(double inside) {
  return (1 - 0.04) * (1 - 0.57) * inside / (1 - 0.57 * inside);
}

/* Kubelka-Munk's ends (Kubelka 1948): a thick slab is R-infinity over any backing; none at all is the
 * backing. */
static void test_slab_ends(void **state) {
  (void)state;
  plastic p = plastic_mix(&crawfish_middle);
  spectrum black = spectrum_flat(0.04), white = spectrum_flat(0.886);
  spectrum thick_black = plastic_seen(&p, 400, &black), thick_white = plastic_seen(&p, 400, &white);
  spectrum none = plastic_seen(&p, 0, &white);
  for (int i = 0; i < BANDS; i++) {
    double ratio = p.k.v[i] / p.s.v[i], infinite = 1 + ratio - sqrt(ratio * ratio + 2 * ratio);
    assert_near(thick_black.v[i], surface(infinite), 1e-9);
    assert_near(thick_white.v[i], surface(infinite), 1e-9);
    assert_near(none.v[i], surface(0.886), 2e-3);
  }
}

/* Common practice, no source: brown lowers both the lightness and the chroma of orange. */
static void test_brown_dulls(void **state) {
  (void)state;
  recipe bright = {{[ORANGE] = 8}}, dulled = {{[ORANGE] = 8, [BROWN] = 4}};
  spectrum gray = spectrum_flat(0.2);
  plastic one = plastic_mix(&bright), two = plastic_mix(&dulled);
  spectrum s1 = plastic_seen(&one, 10, &gray), s2 = plastic_seen(&two, 10, &gray);
  lab_color a = lab_of(xyz_of(&s1)), b = lab_of(xyz_of(&s2));
  assert_true(b.L < a.L);
  assert_true(hypot(b.a, b.b) < hypot(a.a, a.b));
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(test_white),        cmocka_unit_test(test_color_agrees),
      cmocka_unit_test(test_card_spectra), cmocka_unit_test(test_slab_ends),
      cmocka_unit_test(test_brown_dulls),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
