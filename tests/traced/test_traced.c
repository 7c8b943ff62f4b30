/* Boards of a ray tracer that shares no code with this project: test_traced_boards FOLDER, where boards.py has rendered
 * them. The first ones were looked at while rules were chosen; the others were not. */
#include "check.h"

#include "traced.h"

#include <stdio.h>
#include <string.h>

enum { LOOKED_AT = 11, BOARDS = 23 };
static const char *folder;
/* What is reached in each part; wanted are 98%, none, 95%, 3% and .5, which is printed beside. */
typedef struct reached {
  double found, invented, layers, border, color;
} reached;
static const reached looked_at = {89, 1, 71, .016, 2.0}, held_out = {91, 2, 47, .020, 5.4};

static void wanted_print(const char *what, double got, double is_reached, const char *wanted) {
  printf("%-12s %.2f, reached %.2f, wanted %s\n", what, got, is_reached, wanted);
}

static void part_judge(const char *title, int first, int last, const reached *least) {
  static figures all, by[TROUBLE_KINDS];
  memset(&all, 0, sizeof all);
  memset(by, 0, sizeof by);
  assert_int_equal(traced_judge(folder, first, last, 0, &all, by), 0);
  traced_print(title, &all, by);
  double found = 100.0 * (double)all.found / (double)all.baits,
         layers = 100.0 * (double)all.right / (double)all.counted,
         border = figures_median(all.border, all.borders), color = figures_mean(all.color, all.colors);
  wanted_print("found, %", found, least->found, "98");
  wanted_print("invented", (double)all.invented, least->invented, "0");
  wanted_print("layers, %", layers, least->layers, "95");
  wanted_print("border, %", 100 * border, 100 * least->border, "3");
  wanted_print("color", color, least->color, ".5");
  assert_true(found >= least->found);
  assert_true((double)all.invented <= least->invented);
  assert_true(layers >= least->layers);
  assert_true(border <= least->border);
  assert_true(color <= least->color);
}

static void looked_at_part(void **state) {
  (void)state;
  part_judge("looked at", 1, LOOKED_AT, &looked_at);
}

static void held_out_part(void **state) {
  (void)state;
  part_judge("held out", LOOKED_AT + 1, BOARDS, &held_out);
}

int main(int argc, char **argv) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(looked_at_part), cmocka_unit_test(held_out_part)};
  if (argc < 2) {
    fprintf(stderr, "Use: test_traced_boards FOLDER\n");
    return 2;
  }
  folder = argv[1];
  return cmocka_run_group_tests(tests, NULL, NULL);
}
