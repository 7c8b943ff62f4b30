/* Swirls rendered with their truth (tests/bait/turned.h): the share of each color and the color itself.
 * test_swirl [SCENES [FIRST]] */
#include "check.h"

#include "dropwise/numeric.h"
#include "dropwise/read_swirl.h"
#include "turned.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

enum { WIDTH = 1000, USUAL = 6 };
static int scenes = USUAL, first_scene;

typedef struct errors {
  double share[2000], color[2000];
  size_t n, baits, wrong, lost;
} errors;

static dw_status photo_read(const turned *t, size_t colors, dw_swirls *out, dw_error *err) {
  char path[64] = "/tmp/dropwise-swirl-XXXXXX";
  dw_find_wish wish = {.card_set = "grid24"};
  int file = mkstemp(path);
  assert_true(file >= 0);
  close(file);
  assert_int_equal(turned_save(t, 0, path), 0);
  dw_status status = dw_swirls_read(path, NULL, &wish, colors, NULL, 0, out, err);
  unlink(path);
  return status;
}

/* The body whose middle lies nearest to that of the shape. */
static int bait_of(const turned *t, const dw_shape *shape) {
  double x = 0, y = 0, least = INFINITY;
  int best = 0;
  for (size_t i = 0; i < shape->n; i++)
    x += shape->xy[2 * i] / (double)shape->n, y += shape->xy[2 * i + 1] / (double)shape->n;
  for (int i = 0; i < t->b.n; i++) {
    double away = hypot(t->b.bait[i].x / t->b.mm - x, t->b.bait[i].y / t->b.mm - y);
    if (away < least) least = away, best = i;
  }
  return best;
}

static void bait_judge(const turned *t, const dw_swirl_bait *found, errors *to) {
  int which = bait_of(t, &found->shape);
  size_t n = (size_t)t->b.bait[which].layers;
  double share[LAYERS_MAX];
  lab_color color[LAYERS_MAX];
  dw_lab truth[LAYERS_MAX];
  dw_swirl swirl = found->swirl;
  swirled_truth(t, which, share, color);
  for (size_t k = 0; k < n; k++) truth[k] = (dw_lab){color[k].L, color[k].a, color[k].b};
  to->baits++;
  if (swirl.n != n) {
    to->wrong++;
    return;
  }
  dw_swirl_order(&swirl, truth, n);
  for (size_t k = 0; k < n; k++) {
    to->share[to->n] = fabs(swirl.color[k].share - share[k]);
    to->color[to->n++] = dw_de00(swirl.color[k].lab, truth[k]);
    if (scenes > USUAL)
      print_message("scene %u bait %d: share %.3f (%.3f, doubt %.3f)  color off %.2f (doubt %.2f)  %.0f %.0f "
                    "%.0f, truth "
                    "%.0f %.0f %.0f\n",
                    t->b.seed, which, swirl.color[k].share, share[k], swirl.color[k].share_doubt,
                    to->color[to->n - 1], swirl.color[k].uncertainty_de00, swirl.color[k].lab.L,
                    swirl.color[k].lab.a, swirl.color[k].lab.b, truth[k].L, truth[k].a, truth[k].b);
  }
}

static errors judge_all(bool told) {
  static errors e;
  static dw_swirls swirls;
  e = (errors){.n = 0};
  for (int i = 0; i < scenes; i++) {
    static turned t;
    dw_error err;
    t = swirled_make((uint32_t)(first_scene + i), WIDTH);
    dw_status status = photo_read(&t, told ? (size_t)t.b.bait[0].layers : 0, &swirls, &err);
    if (status != DW_OK) {
      print_message("scene %u: %s\n", t.b.seed, err.text);
      e.lost += 4;
      continue;
    }
    e.lost += 4 - (swirls.n < 4 ? swirls.n : 4);
    for (size_t b = 0; b < swirls.n; b++) bait_judge(&t, &swirls.bait[b], &e);
  }
  double share = dw_mean(e.share, e.n), color = dw_mean(e.color, e.n);
  print_message(
      "%s: baits %zu, not found %zu, other number of colors %zu; share off %.3f, 95%% %.3f; color off %.2f, "
      "95%% %.2f\n",
      told ? "number told" : "number found", e.baits, e.lost, e.wrong, share, dw_quantile(e.share, e.n, .95),
      color, dw_quantile(e.color, e.n, .95));
  return e;
}

static void test_shares_and_colors(void **state) {
  (void)state;
  errors e = judge_all(true);
  assert_true(e.wrong == 0);
  assert_true(dw_mean(e.share, e.n) < .05 && dw_quantile(e.share, e.n, .95) < .1);
  assert_true(dw_mean(e.color, e.n) < 1.5);
}

static void test_number_of_colors(void **state) {
  (void)state;
  errors e = judge_all(false);
  assert_true(10 * e.wrong <= e.baits);
}

int main(int argc, char **argv) {
  if (argc > 1) scenes = atoi(argv[1]);
  if (argc > 2) first_scene = atoi(argv[2]);
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_shares_and_colors),
                                     cmocka_unit_test(test_number_of_colors)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
