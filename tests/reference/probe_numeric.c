/* Reads commands from standard input, one a line, and prints one line of results for each:
 *   t T FREEDOM                    the two-sided tail of Student's t
 *   rank N x1 y1 x2 y2 ...         Spearman's rho and p
 *   quantile Q N x1 x2 ...
 *   curve N x1 y1 ... M at1 at2 .. a monotone curve at M places */
#include "dropwise/numeric.h"

#include <stdlib.h>
#include <string.h>

enum { MAX = 4096 };

static double number(void) {
  double value = 0;
  if (scanf("%lf", &value) != 1) exit(2);
  return value;
}

static size_t count(void) {
  const double n = number();
  if (!(n >= 0 && n <= MAX)) exit(2);
  return (size_t)n;
}

static void probe_rank(void) {
  static double x[MAX], y[MAX];
  double rho = 0, p = 0;
  const size_t n = count();
  for (size_t i = 0; i < n; i++) {
    x[i] = number();
    y[i] = number();
  }
  if (dw_rank_correlation(x, y, n, &rho, &p, NULL) != DW_OK) exit(3);
  printf("%.17g %.17g\n", rho, p);
}

static void probe_quantile(void) {
  static double x[MAX];
  const double q = number();
  const size_t n = count();
  for (size_t i = 0; i < n; i++) x[i] = number();
  printf("%.17g\n", dw_quantile(x, n, q));
}

static void probe_curve(void) {
  double x[DW_CURVE_MAX], y[DW_CURVE_MAX];
  dw_curve curve;
  const size_t n = count();
  for (size_t i = 0; i < n && i < DW_CURVE_MAX; i++) {
    x[i] = number();
    y[i] = number();
  }
  if (dw_curve_fit(x, y, n, &curve, NULL) != DW_OK) exit(3);
  for (size_t left = count(); left > 0; left--) printf("%.17g ", dw_curve_at(&curve, number()));
  printf("\n");
}

int main(void) {
  char command[16];
  while (scanf("%15s", command) == 1) {
    if (strcmp(command, "t") == 0) {
      const double t = number();
      printf("%.17g\n", dw_student_t_two_sided(t, number()));
    } else if (strcmp(command, "rank") == 0) {
      probe_rank();
    } else if (strcmp(command, "quantile") == 0) {
      probe_quantile();
    } else if (strcmp(command, "curve") == 0) {
      probe_curve();
    } else {
      return 2;
    }
  }
  return 0;
}
