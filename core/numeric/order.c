/* Median, quantiles and spreads by selection: linear time, no allocation. */
#include "dropwise/numeric.h"

#include <math.h>
#include <stdlib.h>

/* Selection by Hoare's FIND, each partition by Lomuto's scheme: it has no branch that depends on the values. Of few values
 * the pivot is the median of three; of many it is taken from a sample, a little to that side of the wanted place on which
 * more lies, so that after two passes little is left (Floyd and Rivest, Comm. ACM 18 (1975) 165). Hostile orders could
 * make it quadratic; after more passes than a healthy run ever takes the rest is sorted instead, so that the time stays
 * within n log n. */
enum { FEW = 128, SAMPLE = 33, ASIDE = 3 };

#define DEFINE_SELECT(select, order, real)                                                                   \
  static int order(const void *a, const void *b) {                                                           \
    real x = *(const real *)a, y = *(const real *)b;                                                         \
    return (x > y) - (x < y);                                                                                \
  }                                                                                                          \
  static real order##_middle(real a, real b, real c) {                                                       \
    real low = a < b ? a : b, high = a < b ? b : a;                                                          \
    return c < low ? low : c > high ? high : c;                                                              \
  }                                                                                                          \
  static real order##_beside(const real *x, size_t n, size_t k) {                                            \
    real sample[SAMPLE];                                                                                     \
    for (size_t i = 0; i < SAMPLE; i++) {                                                                    \
      size_t to = i;                                                                                         \
      real value = x[i * n / SAMPLE];                                                                        \
      for (; to > 0 && sample[to - 1] > value; to--) sample[to] = sample[to - 1];                            \
      sample[to] = value;                                                                                    \
    }                                                                                                        \
    size_t at = k * SAMPLE / n;                                                                              \
    if (2 * k < n) return sample[at + ASIDE];                                                                \
    return sample[at > ASIDE ? at - ASIDE : 0];                                                              \
  }                                                                                                          \
  /* Moves the k-th smallest (from 0) to x[k], nothing larger before it, nothing smaller behind it. */       \
  static real select(real *x, size_t n, size_t k) {                                                          \
    size_t low = 0, high = n; /* it lies from low on, before high */                                         \
    for (int pass = 0; high - low > 1; pass++) {                                                             \
      if (pass > 96) {                                                                                       \
        qsort(x + low, high - low, sizeof *x, order);                                                        \
        break;                                                                                               \
      }                                                                                                      \
      size_t many = high - low;                                                                              \
      real pivot = many < FEW ? order##_middle(x[low], x[low + many / 2], x[high - 1])                       \
                              : order##_beside(x + low, many, k - low);                                      \
      size_t below = low, not_above;                                                                         \
      for (size_t i = low; i < high; i++) {                                                                  \
        real value = x[i];                                                                                   \
        x[i] = x[below];                                                                                     \
        x[below] = value;                                                                                    \
        below += value < pivot;                                                                              \
      }                                                                                                      \
      if (k < below) {                                                                                       \
        high = below;                                                                                        \
        continue;                                                                                            \
      }                                                                                                      \
      not_above = below;                                                                                     \
      for (size_t i = below; i < high; i++) {                                                                \
        real value = x[i];                                                                                   \
        x[i] = x[not_above];                                                                                 \
        x[not_above] = value;                                                                                \
        not_above += value <= pivot;                                                                         \
      }                                                                                                      \
      if (k < not_above) break;                                                                              \
      low = not_above;                                                                                       \
    }                                                                                                        \
    return x[k];                                                                                             \
  }

DEFINE_SELECT(select_double, order_double, double)
DEFINE_SELECT(select_float, order_float, float)

double dw_quantile(double *x, size_t n, double q) {
  if (n == 0) return 0.0;
  double place = fmin(fmax(q, 0.0), 1.0) * (double)(n - 1);
  size_t k = (size_t)place;
  double low = select_double(x, n, k), share = place - (double)k;
  if (share <= 0.0 || k + 1 >= n) return low;
  double next = x[k + 1];
  for (size_t i = k + 2; i < n; i++) next = x[i] < next ? x[i] : next;
  return low + share * (next - low);
}

double dw_median(double *x, size_t n) {
  return dw_quantile(x, n, 0.5);
}

float dw_median_f(float *x, size_t n) {
  if (n == 0) return 0.0f;
  float high = select_float(x, n, n / 2);
  if (n % 2 == 1) return high;
  float low = x[0];
  for (size_t i = 1; i < n / 2; i++) low = x[i] > low ? x[i] : low;
  return low + (high - low) / 2.0f;
}

double dw_mad_sigma(double *x, size_t n, double center) {
  for (size_t i = 0; i < n; i++) x[i] = fabs(x[i] - center);
  return 1.4826 * dw_median(x, n);
}

double dw_mean(const double *x, size_t n) {
  double mean = 0.0;
  for (size_t i = 0; i < n; i++) mean += (x[i] - mean) / (double)(i + 1);
  return mean;
}

double dw_stddev(const double *x, size_t n) {
  if (n < 2) return 0.0;
  double mean = dw_mean(x, n), squares = 0.0;
  for (size_t i = 0; i < n; i++) squares += (x[i] - mean) * (x[i] - mean);
  return sqrt(squares / (double)(n - 1));
}
