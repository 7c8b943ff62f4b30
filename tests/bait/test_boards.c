/* Boards rendered with their truth: what is found, how well it is read, and that nothing is invented.
 * test_boards [BOARDS WIDTH]: more and larger ones take minutes. */
#include "check.h"

#include "figures.h"

#include <stdio.h>

static int boards = 4, width = 1200;

static void found_and_read(void **state) {
  static figures all;
  (void)state;
  for (int seed = 0; seed < boards; seed++) {
    static board b;
    b = board_make((uint32_t)seed, width, 0);
    assert_int_equal(figures_add(&b, 0, &all), 0);
  }
  figures_print("all", &all);
  assert_true(100 * all.found >= 98 * all.baits);
  assert_int_equal(all.invented, 0);
  assert_true(100 * all.right >= 95 * all.counted);
  assert_true(figures_median(all.border, all.borders) <= .03);
  assert_true(figures_mean(all.color, all.colors) <= .5);
}

int main(int argc, char **argv) {
  if (argc > 2) boards = atoi(argv[1]), width = atoi(argv[2]);
  const struct CMUnitTest tests[] = {cmocka_unit_test(found_and_read)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
