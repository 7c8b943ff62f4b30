#include "dropwise/drift.h"

#include <math.h>

void dw_repeatability_add(dw_repeatability *repeat, const dw_lab *readings, size_t n) {
  if (n < 2) return;
  dw_lab mean = {0};
  for (size_t i = 0; i < n; i++) {
    mean.L += readings[i].L / (double)n;
    mean.a += readings[i].a / (double)n;
    mean.b += readings[i].b / (double)n;
  }
  double squares = repeat->sd_de00 * repeat->sd_de00 * repeat->degrees;
  for (size_t i = 0; i < n; i++) {
    double away = dw_de00(mean, readings[i]);
    squares += away * away;
  }
  repeat->degrees += (double)(n - 1);
  repeat->sd_de00 = sqrt(squares / repeat->degrees);
}
