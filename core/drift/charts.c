#include "dropwise/drift.h"

#include <math.h>

/* Montgomery, Introduction to Statistical Quality Control, 6th ed., appendix VI; n = 2 to 25. */
static const dw_chart_factors factors[DW_GROUP_MAX - 1] = {
    {1.128, 1.880, 0, 3.267},     {1.693, 1.023, 0, 2.574},     {2.059, 0.729, 0, 2.282},
    {2.326, 0.577, 0, 2.114},     {2.534, 0.483, 0, 2.004},     {2.704, 0.419, 0.076, 1.924},
    {2.847, 0.373, 0.136, 1.864}, {2.970, 0.337, 0.184, 1.816}, {3.078, 0.308, 0.223, 1.777},
    {3.173, 0.285, 0.256, 1.744}, {3.258, 0.266, 0.283, 1.717}, {3.336, 0.249, 0.307, 1.693},
    {3.407, 0.235, 0.328, 1.672}, {3.472, 0.223, 0.347, 1.653}, {3.532, 0.212, 0.363, 1.637},
    {3.588, 0.203, 0.378, 1.622}, {3.640, 0.194, 0.391, 1.608}, {3.689, 0.187, 0.403, 1.597},
    {3.735, 0.180, 0.415, 1.585}, {3.778, 0.173, 0.425, 1.575}, {3.819, 0.167, 0.434, 1.566},
    {3.858, 0.162, 0.443, 1.557}, {3.895, 0.157, 0.451, 1.548}, {3.931, 0.153, 0.459, 1.541},
};

const dw_chart_factors *dw_chart_factors_for(size_t n) {
  return n >= 2 && n <= DW_GROUP_MAX ? &factors[n - 2] : NULL;
}

dw_status dw_chart_individuals(const double *x, size_t n, dw_chart_limits *individuals,
                               dw_chart_limits *ranges, dw_error *err) {
  if (n < 2) return dw_fail(err, DW_TOO_FEW, "A control chart needs at least two values.");
  const dw_chart_factors *f = dw_chart_factors_for(2);
  double sum = x[0], range_sum = 0;
  for (size_t i = 1; i < n; i++) {
    sum += x[i];
    range_sum += fabs(x[i] - x[i - 1]);
  }
  double center = sum / (double)n, range = range_sum / (double)(n - 1), sigma = range / f->d2;
  *individuals = (dw_chart_limits){center, center - 3 * sigma, center + 3 * sigma, sigma};
  *ranges = (dw_chart_limits){range, f->D3 * range, f->D4 * range, (f->D4 - 1) * range / 3};
  return DW_OK;
}

dw_status dw_chart_xbar_r(double grand_mean, double mean_range, size_t size, dw_chart_limits *means,
                          dw_chart_limits *ranges, dw_error *err) {
  const dw_chart_factors *f = dw_chart_factors_for(size);
  if (!f) return dw_fail(err, DW_BAD_INPUT, "A group for an X-bar chart has 2 to %d members.", DW_GROUP_MAX);
  double reach = f->A2 * mean_range;
  *means = (dw_chart_limits){grand_mean, grand_mean - reach, grand_mean + reach, reach / 3};
  *ranges =
      (dw_chart_limits){mean_range, f->D3 * mean_range, f->D4 * mean_range, (f->D4 - 1) * mean_range / 3};
  return DW_OK;
}

/* The size that most groups have; of several the larger. */
static size_t usual_size(const dw_chart_group *groups, size_t n) {
  size_t count[DW_GROUP_MAX + 1] = {0}, usual = 2;
  for (size_t i = 0; i < n; i++) count[groups[i].size]++;
  for (size_t size = 2; size <= DW_GROUP_MAX; size++)
    if (count[size] >= count[usual]) usual = size;
  return usual;
}

dw_status dw_chart_groups(const dw_chart_group *groups, size_t n, dw_group_chart *out, dw_error *err) {
  dw_group_chart chart = {.n = n};
  double members = 0;
  if (n == 0) return dw_fail(err, DW_TOO_FEW, "A chart of groups needs one at least.");
  for (size_t i = 0; i < n; i++) {
    const dw_chart_factors *f = dw_chart_factors_for(groups[i].size);
    if (!f)
      return dw_fail(err, DW_BAD_INPUT, "A group for an X-bar chart has 2 to %d members.", DW_GROUP_MAX);
    members += (double)groups[i].size;
    chart.center += (double)groups[i].size * groups[i].mean;
    chart.sigma += groups[i].range / f->d2 / (double)n;
  }
  chart.center /= members;
  chart.size = usual_size(groups, n);
  chart.alike = (double)chart.size * (double)n == members;
  *out = chart;
  return DW_OK;
}

dw_status dw_chart_group_limits(const dw_group_chart *chart, size_t size, dw_chart_limits *means,
                                dw_chart_limits *ranges, dw_error *err) {
  const dw_chart_factors *f = dw_chart_factors_for(size);
  return dw_chart_xbar_r(chart->center, f ? f->d2 * chart->sigma : 0, size, means, ranges, err);
}

/* Of the `span` points up to i, how many lie beyond k sigma on the side of point i (which must be one of
 * them). */
static size_t beyond(const double *x, size_t i, size_t span, const dw_chart_limits *limits, double k) {
  double side = x[i] > limits->center ? 1 : -1;
  size_t count = 0;
  if (side * (x[i] - limits->center) <= k * limits->sigma) return 0;
  for (size_t j = 0; j < span && j <= i; j++) count += side * (x[i - j] - limits->center) > k * limits->sigma;
  return count;
}

static bool trend(const double *x, size_t i, size_t span) {
  if (i + 1 < span) return false;
  bool up = true, down = true;
  for (size_t j = i + 2 - span; j <= i; j++) {
    up = up && x[j] > x[j - 1];
    down = down && x[j] < x[j - 1];
  }
  return up || down;
}

void dw_run_rules(const double *x, size_t n, const dw_chart_limits *limits, unsigned *rules) {
  for (size_t i = 0; i < n; i++) {
    rules[i] = 0;
    if (!(limits->sigma > 0)) continue;
    if (beyond(x, i, 1, limits, 3) == 1) rules[i] |= DW_RULE_BEYOND;
    if (beyond(x, i, 3, limits, 2) >= 2) rules[i] |= DW_RULE_TWO_OF_THREE;
    if (beyond(x, i, 5, limits, 1) >= 4) rules[i] |= DW_RULE_FOUR_OF_FIVE;
    if (beyond(x, i, 8, limits, 0) >= 8) rules[i] |= DW_RULE_EIGHT;
    if (trend(x, i, 6)) rules[i] |= DW_RULE_TREND;
  }
}

const char *dw_run_rule_words(unsigned rules) {
  if (rules & DW_RULE_BEYOND) return "one beyond 3 sigma";
  if (rules & DW_RULE_TWO_OF_THREE) return "two of three beyond 2 sigma";
  if (rules & DW_RULE_FOUR_OF_FIVE) return "four of five beyond 1 sigma";
  if (rules & DW_RULE_EIGHT) return "eight in a row on one side";
  if (rules & DW_RULE_TREND) return "six in a row the same way";
  return "";
}
