/* Spearman's rank correlation. */
#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>

typedef struct item {
  double value;
  size_t place;
} item;

static int item_order(const void *a, const void *b) {
  double x = ((const item *)a)->value, y = ((const item *)b)->value;
  return (x > y) - (x < y);
}

/* Midranks about their mean, so that they sum to 0: tied values share the mean of the ranks they take. */
static void ranks_fill(const double *x, size_t n, item *items, double *ranks) {
  for (size_t i = 0; i < n; i++) items[i] = (item){x[i], i};
  qsort(items, n, sizeof *items, item_order);
  for (size_t i = 0, end; i < n; i = end) {
    for (end = i + 1; end < n && items[end].value == items[i].value;) end++;
    double rank = ((double)(i + end) - (double)n) / 2.0;
    for (size_t j = i; j < end; j++) ranks[items[j].place] = rank;
  }
}

static double dot(const double *a, const double *b, size_t n) {
  double sum = 0.0;
  for (size_t i = 0; i < n; i++) sum += a[i] * b[i];
  return sum;
}

static dw_status ranks_compare(const double *a, const double *b, size_t n, double *rho, double *p,
                               dw_error *err) {
  double aa = dot(a, a, n), bb = dot(b, b, n);
  if (aa <= 0.0 || bb <= 0.0)
    return dw_fail(err, DW_BAD_INPUT,
                   "All %zu values of one side are the same: there is nothing to correlate.", n);
  double r = fmin(fmax(dot(a, b, n) / sqrt(aa * bb), -1.0), 1.0), freedom = (double)(n - 2);
  *rho = r;
  *p = fabs(r) >= 1.0 ? 0.0 : dw_student_t_two_sided(r * sqrt(freedom / ((1.0 - r) * (1.0 + r))), freedom);
  return DW_OK;
}

dw_status dw_rank_correlation(const double *x, const double *y, size_t n, double *rho, double *p,
                              dw_error *err) {
  if (n < 3)
    return dw_fail(err, DW_TOO_FEW, "A rank correlation needs at least 3 pairs, but there are only %zu.", n);
  for (size_t i = 0; i < n; i++)
    if (isnan(x[i]) || isnan(y[i]))
      return dw_fail(err, DW_BAD_INPUT, "Pair %zu of a rank correlation is not a number: leave it out.",
                     i + 1);
  item *items = calloc(n, sizeof *items);
  double *a = calloc(n, sizeof *a), *b = calloc(n, sizeof *b);
  dw_status status;
  if (!items || !a || !b) {
    status = dw_fail_memory(err, "the ranks");
    goto done;
  }
  ranks_fill(x, n, items, a);
  ranks_fill(y, n, items, b);
  status = ranks_compare(a, b, n, rho, p, err);
done:
  free(items);
  free(a);
  free(b);
  return status;
}

/* Fisher's z with Bonett and Wright's variance for Spearman's coefficient (Psychometrika 65, 2000, 23). A
 * perfect order has no z: it counts as if two neighbors had changed places. */
void dw_rank_correlation_interval(double rho, size_t n, double *low, double *high) {
  const double count = (double)n, most = 1.0 - 12.0 / (count * (count * count - 1.0));
  const double r = fmin(fmax(rho, -most), most);
  const double half = 1.959963985 * sqrt((1.0 + r * r / 2.0) / (count - 3.0));
  *low = rho <= -1.0 ? -1.0 : tanh(atanh(r) - half);
  *high = rho >= 1.0 ? 1.0 : tanh(atanh(r) + half);
}
