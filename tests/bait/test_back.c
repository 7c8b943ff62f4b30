/* Which side is the back: painted bars whose layers are known, two of them lying the other way. */
#include "check.h"
#include "drawn.h"

#include <math.h>
#include <string.h>

enum { BARS = 3, HIGH = 60 };
static const float dark[3] = {.05f, .12f, .3f}, light[3] = {.5f, .3f, .03f},
                   near_dark[3] = {.055f, .13f, .3f};

/* A bar of two layers, the first two fifths of it, above or below. */
static void bar_of(scene *s, int top, bool over, const float first[3], const float second[3]) {
  for (int y = 0; y < HIGH; y++)
    for (int x = 120; x < 520; x++) {
      double in = fmin(x - 120, 519 - x),
             round = in < 30 ? 30 - sqrt(fmax(900 - (30 - in) * (30 - in), 0)) : 0;
      const float *c = (over ? HIGH - 1 - y : y) < 24 ? first : second;
      if (y >= round && y < HIGH - round) pixel(s, x, top + y, c[0], c[1], c[2]);
    }
}

static void bar(scene *s, int top, bool over) {
  bar_of(s, top, over, dark, light);
}

/* The second lies with its dark side down. */
static void bars(scene *s) {
  begin(s);
  plain(s, .6f, .6f, .58f);
  for (int i = 0; i < BARS; i++) bar(s, 60 + 130 * i, i == 1);
}

static dw_lab lab_of(const scene *s, const float rgb[3]) {
  const double linear[3] = {(double)rgb[0], (double)rgb[1], (double)rgb[2]};
  return dw_light_lab(s->light, linear);
}

static bool dark_first(const scene *s, const dw_bait *bait) {
  return dw_de00(bait->layer[0].reading.lab, lab_of(s, dark)) < 1;
}

static const dw_lab none = {NAN, NAN, NAN};

/* Whichever way they lie, and whichever layer is the one that has a target. */
static void targets_turn(void **state) {
  scene s;
  (void)state;
  bars(&s);
  const dw_lab a = lab_of(&s, dark), b = lab_of(&s, light);
  const struct {
    dw_lab target[2];
    bool dark_first;
  } aims[] = {{{a, b}, true}, {{b, a}, false}, {{a, none}, true}, {{none, a}, false}, {{none, b}, true}};
  for (size_t k = 0; k < sizeof aims / sizeof *aims; k++) {
    dw_bait_rules rules = {.n_target = 2, .back = k % 2 ? DW_BACK_LOWER : DW_BACK_UPPER};
    memcpy(rules.target, aims[k].target, sizeof aims[k].target);
    const dw_baits baits = look(&s, &rules);
    assert_int_equal(baits.n, BARS);
    assert_false(dw_bait_backs_open(&baits));
    for (size_t i = 0; i < BARS; i++) {
      assert_true(baits.bait[i].back_known);
      assert_int_equal(dark_first(&s, &baits.bait[i]), aims[k].dark_first);
      assert_int_equal(baits.bait[i].notes.n, 0);
    }
  }
  end(&s);
}

/* Without a target that tells, as most lie; and the sentence says why. */
static void nothing_tells(void **state) {
  scene s;
  (void)state;
  bars(&s);
  const dw_lab a = lab_of(&s, dark), b = lab_of(&s, near_dark);
  const struct {
    size_t n;
    dw_lab target[2];
    const char *said;
  } aims[] = {{0, {none, none}, "Which side"}, {2, {none, none}, "Which side"}, {2, {a, b}, "either way"}};
  for (size_t k = 0; k < sizeof aims / sizeof *aims; k++) {
    dw_bait_rules rules = {.n_target = aims[k].n, .back = k ? DW_BACK_LOWER : DW_BACK_UPPER};
    memcpy(rules.target, aims[k].target, sizeof aims[k].target);
    const dw_baits baits = look(&s, &rules);
    assert_true(dw_bait_backs_open(&baits));
    for (size_t i = 0; i < BARS; i++) {
      assert_false(baits.bait[i].back_known);
      const dw_notes *notes = &baits.bait[i].notes;
      assert_int_equal(dark_first(&s, &baits.bait[i]), rules.back == DW_BACK_UPPER);
      assert_int_equal(notes->n, i == 1 ? 2 : 1);
      if (i == 1) assert_non_null(strstr(notes->text[0], "lies the other way"));
      assert_non_null(strstr(notes->text[notes->n - 1], aims[k].said));
    }
  }
  end(&s);
}

static void between(double part, float out[3]) {
  for (int k = 0; k < 3; k++) out[k] = (float)((1 - part) * (double)dark[k] + part * (double)light[k]);
}

/* Both of its layers lie to the same side of both targets, which tell nothing then; the bars beside it do. */
static void others_tell(void **state) {
  scene s;
  float first[3], second[3], low[3], high[3];
  (void)state;
  between(.3, first), between(.7, second), between(.1, low), between(.15, high);
  for (int beside = 0; beside < 2; beside++) {
    begin(&s);
    plain(&s, .6f, .6f, .58f);
    bar_of(&s, 60, true, first, second);
    for (int i = 1; i < BARS && beside; i++) bar(&s, 60 + 130 * i, i == 1);
    const dw_bait_rules rules = {.n_target = 2, .target = {lab_of(&s, low), lab_of(&s, high)}};
    const dw_baits baits = look(&s, &rules);
    assert_int_equal(baits.n, beside ? BARS : 1);
    assert_int_equal(baits.bait[0].back_known, beside);
    const bool first_first = dw_de00(baits.bait[0].layer[0].reading.lab, lab_of(&s, first)) < 1;
    assert_int_equal(first_first, beside);
    for (size_t i = 1; i < baits.n; i++) assert_true(dark_first(&s, &baits.bait[i]));
    end(&s);
  }
}

/* What has other colors is another bait's kind and stays as it lies, though it is nearly their mirror image. */
static void other_colors_stay(void **state) {
  scene s;
  static const float green[3] = {.02f, .3f, .1f};
  (void)state;
  bars(&s);
  bar_of(&s, 60 + 130, false, light, green);
  const dw_baits baits = look(&s, &(dw_bait_rules){0});
  assert_int_equal(baits.n, BARS);
  assert_true(dark_first(&s, &baits.bait[0]) && dark_first(&s, &baits.bait[2]));
  assert_true(dw_de00(baits.bait[1].layer[0].reading.lab, lab_of(&s, light)) < 1);
  assert_int_equal(baits.bait[1].notes.n, 1);
  end(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(targets_turn), cmocka_unit_test(nothing_tells),
                                     cmocka_unit_test(others_tell), cmocka_unit_test(other_colors_stay)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
