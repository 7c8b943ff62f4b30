#include "region/parts.h"

#include "dropwise/color.h"

#include <math.h>

enum { BLOCKS_PER_PART = 8 };

/* A part smaller than this share says little about a drift. */
#define DRIFT_SHARE 0.01

dw__parts dw__parts_of(const dw__rows *rows, const dw__blocks *blocks, dw_lab center) {
  double sum[DW__PARTS_MAX][4] = {{0}}, metric[9], at[3] = {center.L, center.a, center.b}, total = 0;
  size_t side = (size_t)sqrt((double)rows->n / BLOCKS_PER_PART);
  side = side < 2 ? 2 : side > DW__PARTS_SIDE ? DW__PARTS_SIDE : side;
  for (size_t i = 0; i < rows->n; i++) {
    const dw__block *block = rows->block[i];
    size_t part = block->row * side / blocks->rows * side + block->column * side / blocks->columns;
    double weight = block->kept;
    for (size_t k = 0; k < 3; k++) sum[part][k] += weight * ((double)rows->lab[3 * i + k] - at[k]);
    sum[part][3] += weight;
    total += weight;
  }
  dw__parts out = {0};
  dw_de00_metric(center, metric);
  for (size_t p = 0; p < side * side; p++) {
    if (sum[p][3] <= 0) continue;
    dw__part *part = &out.part[out.n++];
    part->share = sum[p][3] / total;
    for (size_t r = 0; r < 3; r++)
      for (size_t k = 0; k < 3; k++) part->d[r] += metric[3 * r + k] * sum[p][k] / sum[p][3];
  }
  return out;
}

/* Parts, not pixels, because neighbors share noise, light and form. */
double dw__parts_doubt(const dw__parts *parts) {
  double mean[3] = {0}, sum = 0;
  if (parts->n < 2) return 0;
  for (size_t p = 0; p < parts->n; p++)
    for (size_t k = 0; k < 3; k++) mean[k] += parts->part[p].share * parts->part[p].d[k];
  for (size_t p = 0; p < parts->n; p++)
    for (size_t k = 0; k < 3; k++) {
      double d = parts->part[p].share * (parts->part[p].d[k] - mean[k]);
      sum += d * d;
    }
  return sqrt(sum * (double)parts->n / ((double)parts->n - 1));
}

double dw__parts_drift(const dw__parts *parts) {
  double drift = 0;
  for (size_t p = 0; p < parts->n; p++)
    for (size_t q = 0; q < p; q++) {
      const dw__part *a = &parts->part[p], *b = &parts->part[q];
      if (a->share < DRIFT_SHARE || b->share < DRIFT_SHARE) continue;
      drift = fmax(drift, hypot(a->d[1] - b->d[1], a->d[2] - b->d[2]));
    }
  return drift;
}
