/* See-through read from rendered strips, against the mixing model (Kubelka 1948 with Saunderson's surface, in
 * samples/renderer, which shares no code with core) of the same plastic over black and over white. */
#include "check.h"

#include "boards.h"
#include "dropwise/read_strips.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { WIDTH = 1200, SCENES = 6, FAINT_MOST = 1 };

static void photo_of(const board *b, char path[64]) {
  strcpy(path, "/tmp/dropwise-strips-XXXXXX");
  assert_int_equal(board_save_new(b, path), 0);
}

/* The body's bait of each found one: by where it crosses the edge. */
static const body *body_of(const board *b, const dw_see_bait *found) {
  const body *best = &b->bait[0];
  for (int i = 1; i < b->n; i++)
    if (fabs(b->bait[i].y / b->mm - found->y) < fabs(best->y / b->mm - found->y)) best = &b->bait[i];
  return best;
}

static void test_ratios(void **state) {
  (void)state;
  static dw_strips strips;
  double worst = 0, sum = 0, within = 0, n = 0;
  int faint = 0;
  for (uint32_t seed = 0; seed < SCENES; seed++) {
    static board b;
    char path[64];
    dw_error err;
    b = strips_make(seed, WIDTH);
    photo_of(&b, path);
    dw_find_wish wish = {.card_set = "grid24", .rules = {.layers = (size_t)b.bait[0].layers}};
    dw_status status = dw_strips_read(path, &wish, &strips, &err);
    unlink(path);
    if (status == DW_NOT_FOUND) { /* plastic so thin and dark that it hardly differs from the black strip */
      assert_non_null(strstr(err.text, "0 things"));
      faint++;
      continue;
    }
    if (status != DW_OK) fail_msg("scene %u: %s", seed, err.text);
    assert_int_equal(strips.n, 3);
    assert_true(strips.reading.has_corners);
    for (size_t i = 0; i < strips.n; i++)
      for (size_t k = 0; k < strips.bait[i].n; k++) {
        const body *lying = body_of(&b, &strips.bait[i]);
        double one = strips_ratio(lying, (int)k), other = strips_ratio(lying, lying->layers - 1 - (int)k);
        double got = strips.bait[i].layer[k].ratio;
        /* without targets the upper side is the back */
        double truth = lying->flip ? other : one;
        double off = fabs(got - truth);
        print_message("scene %u bait %zu layer %zu: %.3f, truth %.3f, doubt %.3f\n", seed, i, k, got, truth,
                      strips.bait[i].layer[k].doubt);
        worst = fmax(worst, off), sum += off, n++;
        within += off <= 2 * strips.bait[i].layer[k].doubt;
      }
  }
  print_message("mean %.3f, worst %.3f, within two doubts %.0f%%\n", sum / n, worst, 100 * within / n);
  assert_true(faint <= FAINT_MOST);
  assert_true(sum / n < .03);
  assert_true(worst < .08);
  assert_true(within >= .9 * n);
}

static void test_ratio_of_readings(void **state) {
  (void)state;
  /* Y of L* 50 is 0.1842, of L* 20 0.0299 (CIE 15) */
  dw_see_layer layer = {.black = {.lab = {20, 0, 0}}, .white = {.lab = {50, 0, 0}}};
  dw_see_ratio(&layer);
  assert_true(fabs(layer.ratio - 0.0299 / 0.1842) < 1e-3);
  assert_true(layer.doubt == 0);
  layer.black.uncertainty_de00 = layer.white.uncertainty_de00 = 1;
  dw_see_ratio(&layer);
  assert_true(layer.doubt > .005 && layer.doubt < .03);
}

static void test_no_strips(void **state) {
  (void)state;
  static dw_strips strips;
  static board b;
  char path[64];
  dw_error err;
  dw_find_wish wish = {.card_set = "grid24"};
  b = board_make(8, 600, 4);
  photo_of(&b, path);
  assert_int_equal(dw_strips_read(path, &wish, &strips, &err), DW_NOT_FOUND);
  assert_non_null(strstr(err.text, "black and a white strip"));
  unlink(path);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_ratio_of_readings), cmocka_unit_test(test_ratios),
                                     cmocka_unit_test(test_no_strips)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
