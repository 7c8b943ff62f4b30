/* The share of a swirl's color through its batches. */
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

enum { BATCHES_MAX = 600 };
#define SPREAD 0.02 /* of a good batch's share: one deviation */

/* good batches about .5, then others moved by `step`; read without doubt worth the name. */
static void simulate(dw_random *random, size_t good, size_t n, double step, dw_batch_share *out) {
  for (size_t i = 0; i < n; i++)
    out[i] =
        (dw_batch_share){0.5 + SPREAD * dw_random_normal(random) + (i < good ? 0 : step), 0.002, i < good};
}

static void check(const dw_batch_share *batches, size_t n, dw_share_check *checks, dw_share_drift *out) {
  dw_error err;
  assert_int_equal(dw_shares_check("black", 0.5, batches, n, checks, out, &err), DW_OK);
}

/* Batches until the first signal behind the good ones; n where there is none. */
static size_t until_signal(dw_random *random, size_t good, size_t n, double step) {
  static dw_batch_share batches[BATCHES_MAX];
  static dw_share_check checks[BATCHES_MAX];
  dw_share_drift drift;
  simulate(random, good, good + n, step, batches);
  check(batches, good + n, checks, &drift);
  for (size_t i = 0; i < n; i++)
    if (checks[good + i].signal) return i + 1;
  return n;
}

/* A false alarm in 150 batches at most, as of a color (test_drift.c); and a step of four deviations is found. */
static void test_alarms(void **state) {
  (void)state;
  enum { TRIALS = 400, LONG = 500 };
  static const size_t good[] = {8, 12, 20};
  for (size_t g = 0; g < 3; g++) {
    dw_random random = dw_random_seed(40 + g);
    double run = 0, found = 0;
    for (int t = 0; t < TRIALS; t++) {
      run += (double)until_signal(&random, good[g], LONG, 0);
      found += until_signal(&random, good[g], 4, 4 * SPREAD) < 4;
    }
    printf("%zu good batches: %.0f and more to a false alarm, a step of four deviations found within 3: "
           "%.1f%%\n",
           good[g], run / TRIALS, 100 * found / TRIALS);
    assert_true(run / TRIALS > 150);
    if (good[g] >= 12) assert_true(found / TRIALS > 0.9);
  }
}

/* What the photos can't tell is no drift, however small the good batches' spread. */
static void test_within_doubt(void **state) {
  (void)state;
  dw_random random = dw_random_seed(3);
  dw_batch_share batches[14];
  dw_share_check checks[14];
  dw_share_drift drift;
  simulate(&random, 10, 14, 4 * SPREAD, batches);
  check(batches, 14, checks, &drift);
  assert_int_equal(drift.verdict, DW_DRIFT_FOUND);
  assert_true(drift.since >= 10 && drift.since < 14);
  assert_non_null(strstr(drift.words, "more of the black"));
  assert_true(checks[13].off > 0.04 && checks[13].off < 0.13);
  for (size_t i = 0; i < 14; i++) batches[i].doubt = 0.2;
  check(batches, 14, checks, &drift);
  assert_int_equal(drift.verdict, DW_DRIFT_UNSURE);
  assert_non_null(strstr(drift.words, "within what these photos can tell"));
}

/* A batch as the good ones after a run of others is back. */
static void test_back(void **state) {
  (void)state;
  dw_random random = dw_random_seed(9);
  dw_batch_share batches[16];
  dw_share_check checks[16];
  dw_share_drift drift;
  simulate(&random, 12, 16, -5 * SPREAD, batches);
  check(batches, 15, checks, &drift);
  assert_int_equal(drift.verdict, DW_DRIFT_FOUND);
  assert_true(checks[14].off < 0);
  batches[15].share = 0.5;
  check(batches, 16, checks, &drift);
  assert_int_equal(drift.verdict, DW_DRIFT_IN_CONTROL);
  assert_true(checks[15].back);
  assert_non_null(strstr(drift.words, "back"));
}

/* The individuals' chart is NIST/SEMATECH e-Handbook 6.3.2.2's (test_drift.c), of shares. */
static void test_chart_and_too_few(void **state) {
  (void)state;
  static const double flow[10] = {49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1};
  dw_batch_share batches[10];
  dw_share_check checks[10];
  dw_share_drift drift;
  dw_error err;
  for (size_t i = 0; i < 10; i++) batches[i] = (dw_batch_share){flow[i] / 100, 0.01, true};
  check(batches, 10, checks, &drift);
  assert_true(fabs(drift.share.center - 0.5081) < 1e-6);
  assert_true(fabs(drift.share.upper - 0.558041) < 1e-6 && fabs(drift.share.lower - 0.458159) < 1e-6);
  check(batches, 5, checks, &drift);
  assert_int_equal(drift.verdict, DW_DRIFT_TOO_FEW);
  assert_non_null(strstr(drift.words, "5 of the 6"));
  assert_int_equal(dw_shares_check("black", NAN, batches, 1, checks, &drift, &err), DW_OK);
  assert_null(strstr(drift.words, "wanted"));
  assert_int_equal(dw_shares_check("black", NAN, batches, 0, checks, &drift, &err), DW_TOO_FEW);
}

int main(void) {
  const struct CMUnitTest tests[] = {cmocka_unit_test(test_alarms), cmocka_unit_test(test_within_doubt),
                                     cmocka_unit_test(test_back), cmocka_unit_test(test_chart_and_too_few)};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
