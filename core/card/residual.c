/* What the root-polynomial leaves over on the patches, as a Gaussian process in Lab: near a patch a reading
 * moves as the patch would, far from all patches it stays (C. E. Rasmussen, C. K. I. Williams, "Gaussian
 * Processes for Machine Learning", 2006, eq. 2.25).
 *
 * The covariance is Wendland's function of the distance, positive definite in three dimensions and exactly 0
 * beyond its reach (H. Wendland, Adv. Comput. Math. 4 (1995) 389): no color farther than that is touched. */
#include "card/fit.h"

#include <math.h>
#include <stdlib.h>

/* Of a patch as read, in Lab units; chosen with its reach (model.c). */
#define NOISE 2.0

static void residual_fill(const dw__sample *s, size_t n, const dw__model *model, dw__residual *residual,
                          double *K) {
  for (size_t i = 0; i < n; i++) {
    const dw_lab lab = dw__model_lab(model, s[i].rgb, s[i].place);
    double *center = &residual->center[3 * i], *pull = &residual->pull[3 * i];
    center[0] = lab.L;
    center[1] = lab.a;
    center[2] = lab.b;
    pull[0] = s[i].lab.L - lab.L;
    pull[1] = s[i].lab.a - lab.a;
    pull[2] = s[i].lab.b - lab.b;
    for (size_t j = 0; j <= i; j++)
      K[i * n + j] = K[j * n + i] =
          dw__residual_kernel(center, &residual->center[3 * j]) + (i == j ? NOISE * NOISE : 0.0);
  }
}

dw_status dw__residual_fit(const dw__sample *s, size_t n, dw__model *model, dw_error *err) {
  dw__residual residual = {0};
  double *K = malloc(n * n * sizeof *K);
  dw_status status = DW_OK;
  residual.center = malloc(6 * n * sizeof *residual.center);
  if (K == NULL || residual.center == NULL) {
    status = dw_fail_memory(err, "the card's fit");
    goto out;
  }
  residual.pull = residual.center + 3 * n;
  residual_fill(s, n, model, &residual, K);
  status = dw_cholesky(K, n, err);
  if (status != DW_OK) goto out;
  dw_cholesky_solve(K, n, residual.pull, 3);
  residual.n = n;
  model->residual = residual;
  residual.center = NULL;
out:
  free(residual.center);
  free(K);
  return status;
}
