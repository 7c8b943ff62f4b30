/* Bars that hardly differ from their board, by CIEDE2000 as the drawn colors have it. */
#include "check.h"
#include "drawn.h"

#include <math.h>
#include <string.h>

static const float board[3] = {.2f, .25f, .6f}, dark[3] = {.05f, .12f, .3f};

static dw_lab lab_of(const scene *s, const float rgb[3]) {
  return dw_light_lab(s->light, (const double[3]){(double)rgb[0], (double)rgb[1], (double)rgb[2]});
}

/* Lighter than the board by so much in CIEDE2000, so that no shadow looks like it. */
static void lighter(const scene *s, double by, float out[3]) {
  for (double f = 1; dw_de00(lab_of(s, out), lab_of(s, board)) < by; f += .001)
    for (int k = 0; k < 3; k++) out[k] = (float)(f * (double)board[k]);
}

static void bar(scene *s, const float c[3]) {
  for (int y = 0; y < 60; y++)
    for (int x = 120; x < 520; x++) {
      double in = fmin(x - 120, 519 - x),
             round = in < 30 ? 30 - sqrt(fmax(900 - (30 - in) * (30 - in), 0)) : 0;
      if (y >= round && y < 60 - round) pixel(s, x, 200 + y, c[0], c[1], c[2]);
    }
}

static bool said(const dw_notes *notes, const char *words) {
  for (size_t i = 0; i < notes->n; i++)
    if (strstr(notes->text[i], words)) return true;
  return false;
}

static void a_layer_of_nearly_its_color(void **state) {
  static const double apart[] = {6.8, 7.5, 8.3, 12};
  (void)state;
  for (size_t i = 0; i < sizeof apart / sizeof *apart; i++) {
    scene s;
    float color[3];
    begin(&s);
    memcpy(color, board, sizeof color);
    lighter(&s, apart[i], color);
    plain(&s, board[0], board[1], board[2]);
    bar(&s, color);
    const dw_baits baits = look(&s, &(dw_bait_rules){.layers = 1});
    const bool near = apart[i] < 8;
    assert_int_equal(baits.n, 1);
    assert_near(baits.bait[0].layer[0].board_de00, apart[i], .1);
    assert_int_equal(said(&baits.bait[0].layer[0].reading.notes, "The board's color"), near);
    assert_int_equal(said(&baits.notes, "1 bait has a layer"), near);
    end(&s);
  }
}

/* A layer of the board's color is not seen; its target tells that it should be there. */
static void a_target_of_nearly_its_color(void **state) {
  scene s;
  float near[3], far[3];
  (void)state;
  begin(&s);
  memcpy(near, board, sizeof near), memcpy(far, board, sizeof far);
  lighter(&s, 5, near), lighter(&s, 9, far);
  plain(&s, board[0], board[1], board[2]);
  bar(&s, dark);
  const dw_lab back = lab_of(&s, dark), none = {NAN, NAN, NAN};
  const struct {
    dw_lab belly;
    bool told;
  } aims[] = {{lab_of(&s, near), true}, {lab_of(&s, far), false}, {none, false}};
  for (size_t i = 0; i < sizeof aims / sizeof *aims; i++) {
    const dw_baits baits =
        look(&s, &(dw_bait_rules){.layers = 2, .n_target = 2, .target = {back, aims[i].belly}});
    assert_near(dw_de00(baits.board_lab, lab_of(&s, board)), 0, .2);
    assert_int_equal(said(&baits.notes, "away from a layer's target"), aims[i].told);
  }
  end(&s);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(a_layer_of_nearly_its_color),
                                     cmocka_unit_test(a_target_of_nearly_its_color)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
