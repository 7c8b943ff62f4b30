/* The solver against every possible answer, where these can be counted out. */
#include "mix/cups.h"

/* The score the solver is to minimize (docs/mixing-model.md#solve): CIEDE2000, 0.10 per bottle, 0.005 per
 * drop, and for clear base 0.03 and 0.02 per fl oz. */
static double score_of(const dw_shelf *shelf, const dw_cup *start, const dw_cup *cup, dw_lab target) {
  double score = dw_de00(target, cup_color(shelf, cup).lab);
  for (size_t i = 0; i < cup->drops.n; i++) {
    const double added =
        cup->drops.part[i].amount - dw_recipe_amount(&start->drops, cup->drops.part[i].bottle);
    if (added > 0) score += 0.10 + 0.005 * added;
  }
  const double clear = cup->volume_floz - start->volume_floz;
  return score + (clear > 0 ? 0.03 + 0.02 * clear : 0);
}

/* The least score over all additions of up to `most` drops in all, and all amounts of clear base that fit. */
static double best_by_counting(const dw_shelf *shelf, const dw_cup *start, dw_lab target, int most) {
  double best = INFINITY;
  const size_t n = shelf->n;
  int total = 1;
  for (size_t i = 0; i < n; i++) total *= most + 1;
  const double room = start->drops.n ? start->capacity_floz - start->volume_floz : 0;
  for (int clear = 0; clear * 0.05 <= room + 1e-9; clear++)
    for (int code = 0; code < total; code++) {
      dw_cup cup = *start;
      int sum = 0, rest = code;
      cup.volume_floz += clear * 0.05;
      for (size_t i = 0; i < n; i++, rest /= most + 1) {
        sum += rest % (most + 1);
        if (rest % (most + 1)) dw_recipe_add(&cup.drops, i, rest % (most + 1));
      }
      if (sum > most || dw_cup_filled_floz(&cup, shelf) > cup.capacity_floz + 1e-9) continue;
      best = fmin(best, score_of(shelf, start, &cup, target));
    }
  return best;
}

/* A shelf of n colorants drawn from the starter's. */
static dw_shelf *small_shelf(dw_random *random, size_t n) {
  dw_shelf *shelf = starter_shelf();
  for (size_t i = 0; i < n; i++) {
    const size_t j = i + pick(random, shelf->n - 1 - i); /* the last one is an effect */
    const dw_bottle swap = shelf->bottle[i];
    shelf->bottle[i] = shelf->bottle[j];
    shelf->bottle[j] = swap;
  }
  shelf->n = n;
  return shelf;
}

typedef struct tally {
  int trials, best;
  double worst;
} tally;

static void compare(dw_random *random, size_t bottles, int most, bool in_cup, bool anywhere, tally *t) {
  dw_shelf *shelf = small_shelf(random, bottles);
  dw_cup start = {.volume_floz = 2, .capacity_floz = 2.35};
  if (in_cup) start = random_cup(shelf, random, bottles, 6, 2);
  if (in_cup) start.capacity_floz = 2.35;
  dw_lab target = {10 + 60 * dw_random_uniform(random), -40 + 90 * dw_random_uniform(random),
                   -50 + 110 * dw_random_uniform(random)};
  if (!anywhere) {
    const dw_cup goal = random_cup(shelf, random, bottles, (size_t)most, 2);
    target = cup_color(shelf, &goal).lab;
  }
  dw_rules rules = dw_rules_default();
  rules.max_drops = dw_recipe_total(&start.drops) + most;
  const dw_aim aim = dw_aim_nearest(target);
  const dw_solution s = solved(shelf, &start, &aim, &rules);
  const double off = score_of(shelf, &start, &s.cup, target) - best_by_counting(shelf, &start, target, most);
  assert_true(off > -1e-9);
  t->trials++;
  t->best += off < 1e-6;
  t->worst = fmax(t->worst, off);
  dw_shelf_free(shelf);
}

static void run(const char *what, size_t bottles, int most, bool in_cup, bool anywhere, int trials) {
  dw_random random = dw_random_seed(1000 * bottles + (uint64_t)most + in_cup);
  tally t = {0};
  for (int i = 0; i < trials; i++) compare(&random, bottles, most, in_cup, anywhere, &t);
  print_message("%s: %d of %d are the best there is; worst %.4f above it\n", what, t.best, t.trials, t.worst);
  assert_true(t.best * 100 >= t.trials * 99);
}

static void test_counted_out(void **state) {
  (void)state;
  run("2 bottles, reachable", 2, 12, false, false, 300);
  run("3 bottles, reachable", 3, 12, false, false, 200);
  run("2 bottles, any color", 2, 12, false, true, 300);
  run("3 bottles, any color", 3, 12, false, true, 200);
  run("2 bottles and clear base into a cup, reachable", 2, 12, true, false, 200);
  run("3 bottles and clear base into a cup, any color", 3, 8, true, true, 100);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_counted_out)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
