/* Two photos of one bait, as target and pour, by one camera and card: "leave it"; and baits that differ: not.
 * Simulated phones (tests/card/phone.c: outside sensitivities, ../shared/data; skipped without them),
 * plastics of the simulator's own bottles. Thresholds: what is asked of the program. */
#include "card/phone.h"
#include "card/scene.h"
#include "dropwise/correct.h"
#include "dropwise/region.h"
#include "simulator/simulator_inner.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

enum { BAITS = 24, WIDE = 40, HIGH = 24, FIRST_BAND = 4 /* 400 nm */ };
#define DIFFERS_DE00 2.5 /* a true difference that must be told */
#define SPREAD 0.25      /* of ln drops between two batches that differ */

static lab_bench bench;
static double card_spectra[24][WAVES];
static dw_card card;

typedef struct shot {
  phone phone;
  dw_light *light;
} shot;

typedef struct tally {
  size_t same, left, differ, advised;
} tally;

static uint8_t clip_of(const double rgb[3]) {
  uint8_t clip = 0;
  for (int c = 0; c < 3; c++)
    clip |= (uint8_t)((rgb[c] >= 1 ? DW_CLIP_HIGH : 0) | (rgb[c] <= 0 ? DW_CLIP_LOW : 0));
  return clip;
}

static void patch_paint(phone *p, const double spectrum[WAVES], dw_patch *patch) {
  for (int k = 0; k < patch->rect.w * patch->rect.h; k++) {
    double rgb[3];
    phone_see(p, spectrum, 1, rgb);
    patch->clip[k] = clip_of(rgb);
    for (int c = 0; c < 3; c++) patch->rgb[3 * k + c] = (float)rgb[c];
  }
}

/* One photo: another exposure and white balance each time, though the phone and its rendering are the same.
 * False where the card refuses it, as a maker would take another. */
static bool shot_take(size_t camera, phone_kind kind, lamp lit, uint64_t number, shot *out) {
  static scene s;
  dw_error err;
  phone_make(&bench, camera, lit, kind, 100 * camera + 7, &out->phone);
  out->phone.random = dw_random_seed(1000 * camera + number);
  out->phone.exposure *= 0.88 + 0.12 * dw_random_uniform(&out->phone.random);
  for (int c = 0; c < 3; c++) out->phone.balance[c] *= 1 + 0.02 * dw_random_normal(&out->phone.random);
  scene_open(&s, &card, NULL);
  for (size_t i = 0; i < 24; i++) patch_paint(&out->phone, card_spectra[i], &s.patches[i]);
  const bool sound = dw_light_card(&card, &s.corners, s.patches, &out->light, &err) == DW_OK;
  scene_close(&s);
  return sound;
}

static dw_reading layer_read(shot *s, const double spectrum[WAVES]) {
  static float rgb[3 * WIDE * HIGH];
  static uint8_t clip[WIDE * HIGH], mask[WIDE * HIGH];
  dw_patch patch = {.rect = {450, 500, WIDE, HIGH}, .rgb = rgb, .clip = clip, .step = 1};
  dw_reading reading;
  dw_error err;
  memset(mask, 1, sizeof mask);
  patch_paint(&s->phone, spectrum, &patch);
  if (dw_region_measure(&patch, mask, s->light, &reading, NULL, &err) != DW_OK) fail_msg("%s", err.text);
  return reading;
}

static void spectrum_of(const sim_world *world, const double loading[SIM_BOTTLES], double out[WAVES]) {
  double R[SIM_BANDS];
  sim__slab(world, loading, 10, 0.20, R);
  memcpy(out, &R[FIRST_BAND], WAVES * sizeof *out);
}

static bool left_alone(const dw_reading *target, const dw_reading *pour) {
  dw_judged judged;
  dw_difference_judge(dw_de00(pour->lab, target->lab), pour->uncertainty_de00, target->uncertainty_de00,
                      &judged);
  return judged.leave;
}

/* A bait in both photos, and in the second one more of another batch. */
static void bait_judge(shot *first, shot *second, sim_world *world, tally *t) {
  double loading[SIM_BOTTLES], other[SIM_BOTTLES], bait[WAVES], next[WAVES];
  sim_recipe(world, loading);
  for (int i = 0; i < SIM_BOTTLES; i++) other[i] = loading[i] * exp(SPREAD * sim_normal(world));
  spectrum_of(world, loading, bait);
  spectrum_of(world, other, next);
  const dw_reading target = layer_read(first, bait), pour = layer_read(second, bait);
  t->same++;
  t->left += left_alone(&target, &pour);
  if (dw_de00(spectrum_lab(&bench, bait), spectrum_lab(&bench, next)) < DIFFERS_DE00) return;
  const dw_reading differs = layer_read(second, next);
  t->differ++;
  t->advised += !left_alone(&target, &differs);
}

static void photos_judge(size_t camera, phone_kind kind, lamp one, lamp two, tally *t) {
  shot first = {.light = NULL}, second = {.light = NULL};
  sim_world world;
  sim_world_make(&world, camera + 1);
  if (shot_take(camera, kind, one, 10 + (uint64_t)one, &first) &&
      shot_take(camera, kind, two, 20 + (uint64_t)two, &second))
    for (int i = 0; i < BAITS; i++) bait_judge(&first, &second, &world, t);
  dw_light_free(first.light);
  dw_light_free(second.light);
}

static tally lights_judge(lamp one, lamp two) {
  static const char *const lamps[] = {"daylight", "LED", "tungsten"};
  tally t = {0};
  for (size_t camera = 0; camera < CAMERAS; camera++)
    for (int kind = 0; kind < PHONE_KINDS; kind++) photos_judge(camera, (phone_kind)kind, one, two, &t);
  printf("target in %s, pour in %s: %zu layers of one bait, left alone %.1f%%; %zu that differ by %.1f and "
         "more, "
         "advised %.1f%%\n",
         lamps[one], lamps[two], t.same, 100 * (double)t.left / (double)t.same, t.differ, DIFFERS_DE00,
         100 * (double)t.advised / (double)t.differ);
  assert_true(t.same > 200 && t.differ > 60);
  return t;
}

static void hold(const tally *t) {
  assert_true((double)t->left >= 0.95 * (double)t->same);
  assert_true((double)t->advised >= 0.90 * (double)t->differ);
}

static void test_one_light(void **state) {
  (void)state;
  for (int lit = 0; lit < LAMPS; lit++) {
    const tally t = lights_judge((lamp)lit, (lamp)lit);
    hold(&t);
  }
}

static void test_another_light(void **state) {
  (void)state;
  for (int one = 0; one < LAMPS; one++)
    for (int two = 0; two < LAMPS; two++) {
      if (one == two) continue;
      const tally t = lights_judge((lamp)one, (lamp)two);
      hold(&t);
    }
}

/* The rule itself, at its edges. */
static void test_rule(void **state) {
  (void)state;
  dw_judged judged;
  dw_difference_judge(0.8, 0, 0, &judged);
  assert_true(judged.leave && strstr(judged.words, "too little to correct"));
  dw_difference_judge(0.81, 0, 0, &judged);
  assert_true(!judged.leave && judged.words[0] == '\0');
  dw_difference_judge(1.0, 0.6, 0.8, &judged); /* joined: 1 */
  assert_true(fabs(judged.doubt_de00 - 1) < 1e-12 && fabs(judged.leave_de00 - 1.5) < 1e-12 && judged.leave);
  dw_difference_judge(2.55, 2, 2, &judged);
  assert_true(!judged.leave && fabs(judged.leave_de00 - 2.5) < 1e-12);
  dw_difference_judge(6, 7.9, 0, &judged); /* without a card, against numbers */
  assert_true(judged.leave && fabs(judged.leave_de00 - 7.9) < 1e-12);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_rule), cmocka_unit_test(test_one_light),
                                     cmocka_unit_test(test_another_light)};
  static bool used[SPECTRA];
  if (!lab_bench_load(&bench)) {
    printf("skipped: the outside data is absent\n");
    return 77;
  }
  spectra_card(&bench, card_spectra, used);
  card = *dw_card_named("grid24");
  for (size_t i = 0; i < 24; i++) card.lab[i] = spectrum_lab(&bench, card_spectra[i]);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
