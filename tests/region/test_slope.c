/* One plastic under a light that falls off over the board: it reads the same wherever it lies. */
#include "card/scene.h"
#include "dropwise/region.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <string.h>

#include <cmocka.h>

enum { WIDE = 60, HIGH = 40 };
#define SLOPE                                                                                                \
  0.4 /* of the logarithm, over the card's longer side of 300 pixels, whose middle is at x 350               \
       */

static scene s;
static float bait_rgb[WIDE * HIGH * 3];
static uint8_t bait_clip[WIDE * HIGH], mask[WIDE * HIGH];

static double light_at(double x) {
  return 0.7 * exp(SLOPE * (x - 350) / 300);
}

static void noise_add(float rgb[3]) {
  for (int c = 0; c < 3; c++) {
    double value = dw_srgb_encode((double)rgb[c]) + 0.01 * dw_random_normal(&s.random);
    rgb[c] = (float)dw_srgb_decode(fmin(fmax(value, 0), 1));
  }
}

static void card_paint(void) {
  for (size_t i = 0; i < 24; i++) {
    dw_patch *p = &s.patches[i];
    double rgb[3];
    dw_linear_from_xyz(dw_xyz_from_lab(s.card->lab[i]), rgb);
    for (int k = 0; k < p->rect.w * p->rect.h; k++) {
      double light = light_at(p->rect.x + k % p->rect.w);
      for (int c = 0; c < 3; c++) p->rgb[3 * k + c] = (float)(light * fmax(rgb[c], 0));
      noise_add(&p->rgb[3 * k]);
    }
  }
}

static dw_reading bait_read(const dw_light *light, int left, int step) {
  dw_patch patch = {.rect = {left, 450, WIDE, HIGH}, .step = step, .rgb = bait_rgb, .clip = bait_clip};
  double rgb[3];
  dw_reading out;
  dw_error err;
  dw_linear_from_xyz(dw_xyz_from_lab((dw_lab){52, 24, 30}), rgb);
  for (int k = 0; k < WIDE * HIGH; k++) {
    for (int c = 0; c < 3; c++) bait_rgb[3 * k + c] = (float)(light_at(left + step * (k % WIDE)) * rgb[c]);
    noise_add(&bait_rgb[3 * k]);
  }
  memset(mask, 1, sizeof mask);
  if (dw_region_measure(&patch, mask, light, &out, NULL, &err) != DW_OK) fail_msg("%s", err.text);
  return out;
}

static void test_spread_is_that_of_the_plastic(void **state) {
  (void)state;
  dw_light *light = NULL;
  dw_error err;
  scene_open(&s, dw_card_named("grid24"), NULL);
  card_paint();
  if (dw_light_card(s.card, &s.corners, s.patches, &light, &err) != DW_OK) fail_msg("%s", err.text);
  const dw_reading middle = bait_read(light, 320, 1);
  assert_true(middle.spread_de00 > 0.5 && middle.spread_de00 < 2);
  const int left[] = {160, 480, 230, 380}, step[] = {1, 1, 2, 2};
  for (size_t i = 0; i < 4; i++) {
    const dw_reading r = bait_read(light, left[i], step[i]);
    printf("at %d by %d: off %.2f, spread %.2f, middle %.2f, %s\n", left[i], step[i],
           dw_de00(r.lab, middle.lab), r.spread_de00, middle.spread_de00, r.notes.n ? r.notes.text[0] : "");
    assert_true(dw_de00(r.lab, middle.lab) < 0.3);
    assert_true(fabs(r.spread_de00 - middle.spread_de00) < 0.25 * middle.spread_de00);
    assert_int_equal(r.notes.n, 0);
  }
  dw_light_free(light);
  scene_close(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_spread_is_that_of_the_plastic)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
