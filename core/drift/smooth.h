/* What the verdict on a color and that on a share stand on: one smoothed distance from the good batches. */
#ifndef DROPWISE_DRIFT_SMOOTH_H
#define DROPWISE_DRIFT_SMOOTH_H

#include "dropwise/drift.h"

typedef struct dw__baseline {
  size_t n, parts; /* parts 1 to 3 */
  double mean[3], variance[3];
  double degrees; /* of freedom of the variances */
} dw__baseline;

/* Mean and variance of each part over the n good batches; the variances are drawn toward their mean.  False where
 * there are too few, or they do not differ at all */
bool dw__baseline_fit(const double *const *part, size_t parts, size_t n, dw__baseline *out);
/* The smoothed distance of every batch from the baseline, and the chance of it without drift: away, away_unknown, p,
 * back and signal of the checks, from their part and off.  Of the batches only uncertainty_de00 is looked at */
void dw__drift_smooth(const dw__baseline *base, const dw_batch_color *batches, size_t n,
                      dw_batch_check *checks);
/* How many of the last batches are off the good ones in the same direction as the last one. */
size_t dw__same_way(const dw__baseline *base, const dw_batch_color *batches, const dw_batch_check *checks,
                    size_t n);
/* The chance below which a distance is called drift. */
double dw__signal_level(size_t base);

#endif
