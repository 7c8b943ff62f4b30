#include "dropwise/drift.h"
#include "dropwise/numeric.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void near(double got, double wanted, double within) {
  if (fabs(got - wanted) > within) fail_msg("%.6f is not within %g of %.6f", got, within, wanted);
}

/* NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, "Example of moving range": flow rate of ten
 * batches. */
static void test_nist_flow_rate(void **state) {
  (void)state;
  static const double flow[10] = {49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
  dw_chart_limits x, range;
  assert_int_equal(dw_chart_individuals(flow, 10, &x, &range, NULL), DW_OK);
  near(x.center, 50.81, 5e-5);
  near(range.center, 1.8778, 5e-5);
  near(x.upper, 55.8041, 5e-5);
  near(x.lower, 45.8159, 5e-5);
  unsigned rules[10];
  dw_run_rules(flow, 10, &x, rules);
  for (int i = 0; i < 10; i++)
    assert_int_equal(rules[i] & DW_RULE_BEYOND, 0); /* "the process is in control" */
}

/* Montgomery, Introduction to Statistical Quality Control, example 6.1 (hard-bake flow width, 25 samples of
 * 5): grand mean 1.5056, mean range 0.32521; limits as printed there.  From memory. */
static void test_montgomery_hard_bake(void **state) {
  (void)state;
  dw_chart_limits means, ranges;
  assert_int_equal(dw_chart_xbar_r(1.5056, 0.32521, 5, &means, &ranges, NULL), DW_OK);
  near(means.upper, 1.69325, 5e-6);
  near(means.lower, 1.31795, 5e-6);
  near(ranges.upper, 0.68749, 5e-6);
  near(ranges.lower, 0, 1e-12);
  assert_int_equal(dw_chart_xbar_r(1, 1, DW_GROUP_MAX + 1, &means, &ranges, NULL), DW_BAD_INPUT);
}

/* The printed factors against their definitions: A2 = 3 / (d2 sqrt n), and D3 = max(0, 2 - D4) since both are
 * 1 -+ 3 d3/d2.  A typing error in one would show. */
static void test_factors_agree_with_each_other(void **state) {
  (void)state;
  for (size_t n = 2; n <= DW_GROUP_MAX; n++) {
    const dw_chart_factors *f = dw_chart_factors_for(n);
    near(f->A2, 3 / (f->d2 * sqrt((double)n)), 1e-3);
    near(f->D3, fmax(0, 2 - f->D4), 1.1e-3);
  }
  assert_null(dw_chart_factors_for(1));
  assert_null(dw_chart_factors_for(DW_GROUP_MAX + 1));
}

/* Groups of any size stand on one sigma: simulated, members of deviation 2 around 7. */
static void test_groups_of_unlike_size(void **state) {
  (void)state;
  enum { GROUPS = 4000 };
  static dw_chart_group groups[GROUPS];
  dw_random random = dw_random_seed(11);
  dw_group_chart chart;
  dw_chart_limits means, ranges, same, same_ranges;
  for (size_t g = 0; g < GROUPS; g++) {
    groups[g] = (dw_chart_group){.size = 9 + g % 5};
    double low = 1e9, high = -1e9;
    for (size_t i = 0; i < groups[g].size; i++) {
      double x = 7 + 2 * dw_random_normal(&random);
      groups[g].mean += x / (double)groups[g].size;
      low = fmin(low, x);
      high = fmax(high, x);
    }
    groups[g].range = high - low;
  }
  assert_int_equal(dw_chart_groups(groups, GROUPS, &chart, NULL), DW_OK);
  near(chart.center, 7, .02);
  near(chart.sigma, 2, .02);
  assert_false(chart.alike);
  assert_int_equal(dw_chart_group_limits(&chart, 12, &means, &ranges, NULL), DW_OK);
  near(means.upper - means.center, 3 * 2 / sqrt(12), .03);
  assert_int_equal(dw_chart_group_limits(&chart, 1, &means, &ranges, NULL), DW_BAD_INPUT);
  for (size_t g = 0; g < 3; g++) groups[g] = (dw_chart_group){5, 1.5056, 0.32521};
  assert_int_equal(dw_chart_groups(groups, 3, &chart, NULL), DW_OK);
  assert_true(chart.alike && chart.size == 5);
  assert_int_equal(dw_chart_group_limits(&chart, 5, &means, &ranges, NULL), DW_OK);
  assert_int_equal(dw_chart_xbar_r(1.5056, 0.32521, 5, &same, &same_ranges, NULL), DW_OK);
  near(means.upper, same.upper, 1e-12);
  near(ranges.upper, same_ranges.upper, 1e-12);
}

/* Strength of fabric from four looms, four pieces each: Montgomery, Design and Analysis of Experiments, the
 * example of the random effects model (from memory): mean squares 29.73 and 1.90, variances 6.96 between
 * looms and 1.90 within.  As lightness, where one unit is one CIEDE2000 (L* 50). */
static void test_montgomery_looms(void **state) {
  (void)state;
  static const double strength[4][4] = {
      {98, 97, 99, 96}, {91, 90, 93, 92}, {96, 95, 97, 95}, {95, 96, 99, 98}};
  dw_lab bait[4][4];
  dw_shot shot[5];
  dw_shot_spread spread;
  for (size_t g = 0; g < 4; g++) {
    for (size_t i = 0; i < 4; i++) bait[g][i] = (dw_lab){strength[g][i] - 45, 0, 0};
    shot[g] = (dw_shot){4, bait[g]};
  }
  shot[4] = (dw_shot){1, bait[0]}; /* a batch of one bait tells nothing of a shot */
  assert_true(dw_shots_compare("looms", (dw_lab){50, 0, 0}, shot, 5, &spread));
  near(spread.within_de00 * spread.within_de00, 1.90, .006);
  near(spread.between_de00 * spread.between_de00, 6.96, .006);
  assert_true(spread.apart && spread.batches == 4 && spread.baits == 16);
  assert_non_null(strstr(spread.words, "lightness"));
  assert_false(dw_shots_compare("looms", (dw_lab){50, 0, 0}, shot + 4, 1, &spread));
}

/* Batches that differ by chance alone are called apart in 5 of 100, in each part and together. */
static void test_batches_alike_are_not_called_apart(void **state) {
  (void)state;
  enum { TRIALS = 2000, BATCHES = 6, BAITS = 5 };
  dw_random random = dw_random_seed(3);
  int apart = 0;
  for (int t = 0; t < TRIALS; t++) {
    dw_lab bait[BATCHES][BAITS];
    dw_shot shot[BATCHES];
    dw_shot_spread spread;
    for (size_t g = 0; g < BATCHES; g++) {
      for (size_t i = 0; i < BAITS; i++)
        bait[g][i] = (dw_lab){50 + dw_random_normal(&random), dw_random_normal(&random) / 2,
                              dw_random_normal(&random) / 2};
      shot[g] = (dw_shot){BAITS, bait[g]};
    }
    assert_true(dw_shots_compare("side", (dw_lab){50, 0, 0}, shot, BATCHES, &spread));
    apart += spread.apart;
  }
  assert_in_range(apart, TRIALS * 3 / 100, TRIALS * 8 / 100);
}

/* d2 is the mean range of n normal values: simulated. */
static void test_d2_is_the_mean_range(void **state) {
  (void)state;
  dw_random random = dw_random_seed(5);
  for (size_t n = 2; n <= DW_GROUP_MAX; n += 4) {
    double sum = 0;
    enum { TRIALS = 100000 };
    for (int t = 0; t < TRIALS; t++) {
      double low = 1e9, high = -1e9;
      for (size_t i = 0; i < n; i++) {
        double x = dw_random_normal(&random);
        low = fmin(low, x);
        high = fmax(high, x);
      }
      sum += high - low;
    }
    near(sum / TRIALS, dw_chart_factors_for(n)->d2, 0.012);
  }
}

static void test_run_rules(void **state) {
  (void)state;
  const dw_chart_limits limits = {0, -3, 3, 1};
  unsigned rules[9];
  dw_run_rules((const double[]){0, 3.1}, 2, &limits, rules);
  assert_int_equal(rules[1], DW_RULE_BEYOND);
  dw_run_rules((const double[]){2.1, 0, 2.2}, 3, &limits, rules);
  assert_int_equal(rules[2], DW_RULE_TWO_OF_THREE);
  dw_run_rules((const double[]){2.1, 0, -2.2}, 3, &limits, rules);
  assert_int_equal(rules[2], 0); /* not on one side */
  dw_run_rules((const double[]){-1.1, -1.2, 0.1, -1.1, -1.3}, 5, &limits, rules);
  assert_int_equal(rules[4], DW_RULE_FOUR_OF_FIVE);
  dw_run_rules((const double[]){.1, .2, .1, .2, .1, .2, .1, .2}, 8, &limits, rules);
  assert_int_equal(rules[7], DW_RULE_EIGHT);
  assert_int_equal(rules[6], 0);
  dw_run_rules((const double[]){-.3, -.2, -.1, 0, .1, .2}, 6, &limits, rules);
  assert_int_equal(rules[5], DW_RULE_TREND);
  assert_int_equal(rules[4], 0);
}

/* F tail: tables of the F distribution, 5% point of F(3, 10) is 3.708, 1% point 6.552 (any statistics text).
 */
static void test_f_tail(void **state) {
  (void)state;
  near(dw_f_upper_tail(3.708, 3, 10), 0.05, 1e-4);
  near(dw_f_upper_tail(6.552, 3, 10), 0.01, 1e-5);
  /* F(1, v) is the square of t(v) */
  near(dw_f_upper_tail(2.5 * 2.5, 1, 7), dw_student_t_two_sided(2.5, 7), 1e-12);
  near(dw_f_upper_tail(0, 3, 10), 1, 0);
}

/* ---- simulated batches --------------------------------------------------------------------------------- */

enum { BASE_MAX = 20, WATCHED = 30, BATCHES_MAX = BASE_MAX + WATCHED };
static const dw_lab target = {45, 22, 30};

/* The color whose difference from the target has these parts, by the inverse of the metric. */
static dw_lab at_offset(const double parts[3]) {
  double metric[9], x[3];
  dw_de00_metric(target, metric);
  assert_int_equal(dw_least_squares(metric, parts, 3, 3, 1, x, NULL), DW_OK);
  return (dw_lab){target.L + x[0], target.a + x[1], target.b + x[2]};
}

typedef struct batch_plan {
  size_t base, n, step_at;
  double noise[3]; /* deviation of each part */
  double step;     /* in a random direction, from batch step_at on */
} batch_plan;

static void make_batches(dw_random *random, const batch_plan *plan, dw_batch_color *out) {
  double way[3], length = 0;
  for (int r = 0; r < 3; r++) {
    way[r] = dw_random_normal(random);
    length += way[r] * way[r];
  }
  for (size_t i = 0; i < plan->n; i++) {
    double parts[3];
    for (int r = 0; r < 3; r++)
      parts[r] = plan->noise[r] * dw_random_normal(random) +
                 (i >= plan->step_at ? plan->step * way[r] / sqrt(length) : 0);
    out[i] = (dw_batch_color){at_offset(parts), 0.3, i < plan->base};
  }
}

/* Share of runs in which a 1.5 step is signaled by its fourth batch, each batch checked as it comes. */
static double share_seen(size_t base, double noise, uint64_t seed) {
  enum { RUNS = 1000 };
  dw_random random = dw_random_seed(seed);
  const batch_plan plan = {base, base + 8, base + 4, {noise, noise, noise}, 1.5};
  int seen = 0;
  for (int run = 0; run < RUNS; run++) {
    dw_batch_color batches[BATCHES_MAX];
    dw_batch_check checks[BATCHES_MAX];
    dw_drift_result result;
    make_batches(&random, &plan, batches);
    bool signal = false;
    for (size_t n = base + 5; n <= base + 8; n++) {
      assert_int_equal(dw_drift_check("belly", target, batches, n, checks, &result, NULL), DW_OK);
      signal = signal || result.verdict == DW_DRIFT_FOUND;
    }
    seen += signal;
  }
  print_message(
      "%zu good batches, noise %.2f a part: a 1.5 step is signaled within 4 batches in %.1f%% of runs\n",
      base, noise, seen * 100.0 / RUNS);
  return (double)seen / RUNS;
}

/* A noise of 0.5 in all (0.29 a part), and the harder reading, 0.5 in each part: 0.87 in all. */
static void test_a_step_is_seen(void **state) {
  (void)state;
  assert_true(share_seen(8, 0.5 / sqrt(3), 21) >= 0.90);
  assert_true(share_seen(BASE_MAX, 0.5, 22) >= 0.90);
}

/* Batches per false alarm, with no drift at all; *by_rules: the same for the run rules on the three parts. */
static double batches_per_alarm(size_t base, const double noise[3], uint64_t seed, double *by_rules) {
  enum { RUNS = 1500 };
  dw_random random = dw_random_seed(seed);
  const batch_plan plan = {base, base + WATCHED, BATCHES_MAX, {noise[0], noise[1], noise[2]}, 0};
  int alarms = 0, rule_alarms = 0;
  for (int run = 0; run < RUNS; run++) {
    dw_batch_color batches[BATCHES_MAX];
    dw_batch_check checks[BATCHES_MAX];
    dw_drift_result result;
    make_batches(&random, &plan, batches);
    assert_int_equal(dw_drift_check("belly", target, batches, plan.n, checks, &result, NULL), DW_OK);
    for (size_t i = base; i < plan.n; i++) {
      alarms += checks[i].signal;
      rule_alarms += (checks[i].rules[0] | checks[i].rules[1] | checks[i].rules[2]) != 0;
    }
  }
  *by_rules = (double)RUNS * WATCHED / fmax(rule_alarms, 1);
  return (double)RUNS * WATCHED / fmax(alarms, 1);
}

static void test_false_alarms_are_rare(void **state) {
  (void)state;
  static const size_t base[] = {8, 12, 20};
  for (size_t i = 0; i < sizeof base / sizeof *base; i++) {
    double by_rules, batches = batches_per_alarm(base[i], (const double[]){.5, .5, .5}, 31 + i, &by_rules);
    print_message("%zu good batches: one false alarm per %.0f batches; by the run rules alone one per %.0f\n",
                  base[i], batches, by_rules);
    assert_true(batches >= 150);
  }
  /* One part noisier than the others, as lightness often is. */
  double by_rules, batches = batches_per_alarm(12, (const double[]){1, .3, .3}, 34, &by_rules);
  print_message("12 good batches, uneven noise: one false alarm per %.0f batches\n", batches);
  assert_true(batches >= 150);
}

static void test_within_uncertainty_is_never_drift(void **state) {
  (void)state;
  dw_random random = dw_random_seed(13);
  enum { BASE = 12 };
  dw_batch_color batches[BASE + 6];
  dw_batch_check checks[BASE + 6];
  dw_drift_result result;
  for (size_t i = 0; i < BASE + 6; i++) {
    double parts[3] = {0.05 * dw_random_normal(&random), 0.05 * dw_random_normal(&random),
                       i >= BASE ? 0.8 : 0};
    batches[i] = (dw_batch_color){at_offset(parts), 3, i < BASE}; /* photos that can tell 3 only */
  }
  assert_int_equal(dw_drift_check("belly", target, batches, BASE + 6, checks, &result, NULL), DW_OK);
  assert_int_equal(result.verdict, DW_DRIFT_UNSURE);
  assert_non_null(strstr(result.words, "within what these photos can tell (3.0)"));
}

/* Batches on and off the good ones' color by these parts of lightness; the good ones are within 0.1. */
static void check_run(const double *lighter, size_t n, double uncertainty, dw_drift_result *result) {
  enum { BASE = 8 };
  static const double wobble[BASE] = {.1, -.1, .05, 0, -.05, .1, -.1, 0};
  dw_batch_color batches[BATCHES_MAX];
  dw_batch_check checks[BATCHES_MAX];
  for (size_t i = 0; i < BASE + n; i++) {
    double parts[3] = {i < BASE ? wobble[i] : lighter[i - BASE], i < BASE ? wobble[(i + 3) % BASE] : 0, 0};
    batches[i] = (dw_batch_color){at_offset(parts), uncertainty, i < BASE};
  }
  assert_int_equal(dw_drift_check("back", target, batches, BASE + n, checks, result, NULL), DW_OK);
}

/* A batch that is exactly right is no drift, whatever the ones before were. */
static void test_recovery_is_no_drift(void **state) {
  (void)state;
  dw_drift_result result;
  for (double doubt = 0; doubt < 0.6; doubt += 0.5) {
    check_run((const double[]){4}, 1, doubt, &result);
    assert_int_equal(result.verdict, DW_DRIFT_FOUND);
    for (size_t n = 2; n <= 6; n++) {
      check_run((const double[]){4, 0, .1, 0, -.1, 0}, n, doubt, &result);
      assert_int_equal(result.verdict, DW_DRIFT_IN_CONTROL);
      assert_int_equal(result.since, 8 + n);
      if (n == 2) assert_non_null(strstr(result.words, "back at the good batches' color"));
    }
  }
  check_run((const double[]){4, 2}, 2, 0.5, &result); /* on the way back, not there yet */
  assert_int_equal(result.verdict, DW_DRIFT_FOUND);
  assert_non_null(strstr(result.words, "the last 2 go the same way"));
}

/* The two numbers of a sentence that says "but that is within what ... can tell" must bear it out. */
static void test_words_give_the_numbers_compared(void **state) {
  (void)state;
  dw_drift_result result;
  check_run((const double[]){0, 0, 0, 2.3}, 4, 2.0,
            &result); /* the last is beyond 2.0, all together are not */
  assert_int_equal(result.verdict, DW_DRIFT_UNSURE);
  double off, together, can_tell;
  const char *at = strstr(result.words, "together are ");
  assert_non_null(at);
  assert_int_equal(sscanf(at, "together are %lf", &together), 1);
  at = strstr(result.words, "can tell (");
  assert_int_equal(sscanf(at, "can tell (%lf", &can_tell), 1);
  assert_true(together <= can_tell);
  check_run((const double[]){.4}, 1, 0, &result); /* further than any good one, too little for drift */
  assert_int_equal(result.verdict, DW_DRIFT_IN_CONTROL);
  assert_int_equal(sscanf(strstr(result.words, "batch is "), "batch is %lf", &off), 1);
  near(off, 0.4, 0.1); /* of their mean, which is not quite the target */
  assert_non_null(strstr(result.words, "no drift yet"));
  assert_null(strstr(result.words, "as in the good batches"));
}

static void test_too_few_is_said(void **state) {
  (void)state;
  dw_batch_color batches[5];
  dw_batch_check checks[5];
  dw_drift_result result;
  dw_random random = dw_random_seed(14);
  make_batches(&random, &(batch_plan){5, 5, 5, {.5, .5, .5}, 0}, batches);
  assert_int_equal(dw_drift_check("belly", target, batches, 5, checks, &result, NULL), DW_OK);
  assert_int_equal(result.verdict, DW_DRIFT_TOO_FEW);
  assert_int_equal(dw_drift_check("belly", target, batches, 0, checks, &result, NULL), DW_TOO_FEW);
}

static void test_words_say_which_way(void **state) {
  (void)state;
  dw_random random = dw_random_seed(15);
  enum { BASE = 12 };
  dw_batch_color batches[BASE + 3];
  dw_batch_check checks[BASE + 3];
  dw_drift_result result;
  for (size_t i = 0; i < BASE + 3; i++) {
    double parts[3] = {0.2 * dw_random_normal(&random) + (i >= BASE ? 2.5 : 0),
                       0.2 * dw_random_normal(&random), 0.2 * dw_random_normal(&random)};
    batches[i] = (dw_batch_color){at_offset(parts), 0.3, i < BASE};
  }
  assert_int_equal(dw_drift_check("belly", target, batches, BASE + 3, checks, &result, NULL), DW_OK);
  assert_int_equal(result.verdict, DW_DRIFT_FOUND);
  assert_int_equal(result.since, BASE);
  assert_non_null(strstr(result.words, "lighter"));
  assert_non_null(strstr(result.words, "the last 3 go the same way"));
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_nist_flow_rate),
                                     cmocka_unit_test(test_montgomery_hard_bake),
                                     cmocka_unit_test(test_factors_agree_with_each_other),
                                     cmocka_unit_test(test_d2_is_the_mean_range),
                                     cmocka_unit_test(test_groups_of_unlike_size),
                                     cmocka_unit_test(test_montgomery_looms),
                                     cmocka_unit_test(test_batches_alike_are_not_called_apart),
                                     cmocka_unit_test(test_run_rules),
                                     cmocka_unit_test(test_f_tail),
                                     cmocka_unit_test(test_a_step_is_seen),
                                     cmocka_unit_test(test_false_alarms_are_rare),
                                     cmocka_unit_test(test_within_uncertainty_is_never_drift),
                                     cmocka_unit_test(test_recovery_is_no_drift),
                                     cmocka_unit_test(test_words_give_the_numbers_compared),
                                     cmocka_unit_test(test_too_few_is_said),
                                     cmocka_unit_test(test_words_say_which_way)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
