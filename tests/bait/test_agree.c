/* Baits of one shot have one number of layers; one of other colors keeps its own. */
#include "bait/agree.h"
#include "check.h"

#include <string.h>

enum { BAITS = 4, LAYERS = 3 };
#define THINNEST 0.02

static const double green[LAYERS][3] = {{35, -20, 20}, {55, 5, 30}, {75, 10, 15}},
                    blue[LAYERS][3] = {{30, 5, -35}, {45, -5, -20}, {60, 0, -5}};

/* A body's profile: layers of one thickness, of such colors. */
static void strip_fill(dw__strip *out, const double color[LAYERS][3]) {
  *out = (dw__strip){.n = 0, .board = {90, 0, 0}};
  for (size_t j = 0; j < DW_BAIT_PROFILE; j++) {
    const double *c = color[j * LAYERS / DW_BAIT_PROFILE];
    memcpy(out->profile[j], c, sizeof out->profile[j]);
    for (size_t w = 0; w < DW__WINDOWS; w++) memcpy(out->window[w][j], c, sizeof out->window[w][j]);
    out->noise[j] = .3;
  }
}

/* The last one is told to have fewer layers, about as well. */
static size_t last_after(const double color[LAYERS][3]) {
  static dw__strip strip[BAITS];
  dw__layers layers[BAITS];
  dw__of_shot shot[BAITS];
  for (size_t i = 0; i < BAITS; i++) {
    strip_fill(&strip[i], i + 1 < BAITS ? green : color);
    dw__layers_fit(&strip[i], i + 1 < BAITS ? LAYERS : LAYERS - 1, THINNEST, &layers[i]);
    shot[i] = (dw__of_shot){&strip[i], &layers[i], THINNEST};
  }
  dw__layers_agree(shot, BAITS);
  return layers[BAITS - 1].n;
}

static void a_bait_of_the_shot_has_its_number(void **state) {
  (void)state;
  assert_int_equal(last_after(green), LAYERS);
}

static void a_bait_of_other_colors_keeps_its_own(void **state) {
  (void)state;
  assert_int_equal(last_after(blue), LAYERS - 1);
}

int main(void) {
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(a_bait_of_the_shot_has_its_number),
      cmocka_unit_test(a_bait_of_other_colors_keeps_its_own),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
