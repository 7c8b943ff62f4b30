/* Smooth random curves: a basis from the square root of their covariance. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "mix/fit_model.h"

#define EIGENVALUE_SHARE 1e-4 /* smaller ones, against the largest, are left out */

pt_status pt__basis_make(double shared, double own, double length_nm, pt__basis *out, pt_error *err) {
  double C[PT_BANDS * PT_BANDS], values[PT_BANDS];
  for (size_t i = 0; i < PT_BANDS; i++)
    for (size_t j = 0; j < PT_BANDS; j++) {
      double apart = (pt_band_nm(i) - pt_band_nm(j)) / length_nm;
      C[i * PT_BANDS + j] = shared * shared + own * own * exp(-apart * apart / 2);
    }
  pt_status status = pt_symmetric_eigen(C, PT_BANDS, values, err);
  if (status != PT_OK) return status;
  memset(out, 0, sizeof *out);
  for (size_t v = PT_BANDS; v-- > 0;) {
    if (values[v] < EIGENVALUE_SHARE * values[PT_BANDS - 1]) break;
    for (size_t i = 0; i < PT_BANDS; i++) out->b[i][out->rank] = sqrt(values[v]) * C[v * PT_BANDS + i];
    out->rank++;
  }
  return PT_OK;
}

void pt__basis_project(const pt__basis *basis, const double curve[PT_BANDS], double *u) {
  for (size_t j = 0; j < basis->rank; j++) { /* columns are orthogonal */
    double dot = 0, square = 0;
    for (size_t i = 0; i < PT_BANDS; i++)
      dot += basis->b[i][j] * curve[i], square += basis->b[i][j] * basis->b[i][j];
    u[j] = dot / square;
  }
}
