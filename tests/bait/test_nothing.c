/* Pictures without baits: none is invented, and the answer says why there is none. */
#include "check.h"
#include "drawn.h"

#include "dropwise/numeric.h"

#include <string.h>

static void bare_board(void **state) {
  scene s;
  (void)state;
  begin(&s);
  plain(&s, .4f, .35f, .3f);
  dw_baits baits = look(&s, &(dw_bait_rules){0});
  assert_true(baits.board);
  assert_int_equal(baits.n, 0);
  assert_true(baits.notes.n > 0);
  end(&s);
}

static void no_board(void **state) {
  scene s;
  dw_random random = dw_random_seed(3);
  (void)state;
  begin(&s);
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++)
      pixel(&s, x, y, (float)dw_random_uniform(&random), (float)dw_random_uniform(&random),
            (float)dw_random_uniform(&random));
  dw_baits baits = look(&s, &(dw_bait_rules){0});
  assert_false(baits.board);
  assert_int_equal(baits.n, 0);
  assert_non_null(strstr(baits.notes.text[0], "No plain board"));
  end(&s);
}

/* A sheet of paper, a round lid, and a soft spot of another color. */
static void other_things(void **state) {
  scene s;
  (void)state;
  begin(&s);
  plain(&s, .3f, .3f, .32f);
  for (int y = 0; y < H; y++)
    for (int x = 0; x < W; x++) {
      if (x > 60 && x < 260 && y > 60 && y < 180) pixel(&s, x, y, .8f, .75f, .2f);
      if (hypot(x - 450, y - 120) < 60) pixel(&s, x, y, .7f, .1f, .1f);
      float soft = (float)exp(-hypot((x - 320) / 3.0, y - 360) / 25);
      if (y > 250) pixel(&s, x, y, .3f + .3f * soft, .3f, .32f - .2f * soft);
    }
  dw_baits baits = look(&s, &(dw_bait_rules){0});
  assert_true(baits.board);
  assert_int_equal(baits.n, 0);
  end(&s);
}

static void too_many_layers(void **state) {
  scene s;
  dw_baits baits;
  dw_error err;
  (void)state;
  begin(&s);
  plain(&s, .4f, .35f, .3f);
  assert_int_equal(dw_baits_find(&s.photo, &(dw_bait_rules){.layers = 5}, s.light, s.arena, &baits, &err),
                   DW_BAD_INPUT);
  end(&s);
}

/* A straight two-layered bar: what is reported can be worked out by hand. */
static void a_plain_bar(void **state) {
  scene s;
  (void)state;
  begin(&s);
  plain(&s, .6f, .6f, .58f);
  for (int y = 200; y < 260; y++)
    for (int x = 120; x < 520; x++) {
      double in = fmin(x - 120, 519 - x),
             round = in < 30 ? 30 - sqrt(fmax(900 - (30 - in) * (30 - in), 0)) : 0;
      if (y < 200 + round || y >= 260 - round) continue;
      pixel(&s, x, y, y < 224 ? .05f : .5f, y < 224 ? .12f : .3f, y < 224 ? .3f : .03f);
    }
  dw_baits baits = look(&s, &(dw_bait_rules){0});
  assert_int_equal(baits.n, 1);
  const dw_bait *b = &baits.bait[0];
  assert_int_equal(b->n, 2);
  assert_near(b->layer[0].share, 24.0 / 60, .02);
  assert_near(b->layer[0].share + b->layer[1].share, 1, 1e-12);
  assert_near(b->height, 60, 2);
  assert_near(b->length, 400, 8);
  assert_near(b->box.x, 120, 2);
  assert_near(b->box.w, 400, 4);
  assert_near(b->bend_deg, 0, 3);
  const double back[3] = {.05, .12, .3};
  assert_true(dw_de00(b->layer[0].reading.lab, dw_light_lab(s.light, back)) < .3);
  dw_baits below = look(&s, &(dw_bait_rules){.back = DW_BACK_LOWER});
  assert_near(below.bait[0].layer[1].share, b->layer[0].share, 1e-9);
  dw_bait_rules aimed = {.n_target = 2, .target = {b->layer[1].reading.lab, b->layer[0].reading.lab}};
  dw_baits known = look(&s, &aimed);
  assert_true(known.bait[0].back_known);
  assert_near(known.bait[0].layer[0].share, b->layer[1].share, 1e-9);
  assert_near(known.bait[0].blend[0].at, 1 - b->blend[0].at, 1e-9);
  end(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(bare_board), cmocka_unit_test(no_board),
                                     cmocka_unit_test(other_things), cmocka_unit_test(too_many_layers),
                                     cmocka_unit_test(a_plain_bar)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
