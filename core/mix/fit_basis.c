/* Smooth random curves: a basis from the square root of their covariance. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "mix/fit_model.h"

#define EIGENVALUE_SHARE 1e-4 /* smaller ones, against the largest, are left out */

dw_status dw__basis_make(double shared, double own, double length_nm, dw__basis *out, dw_error *err) {
  double C[DW_BANDS * DW_BANDS], values[DW_BANDS];
  for (size_t i = 0; i < DW_BANDS; i++)
    for (size_t j = 0; j < DW_BANDS; j++) {
      double apart = (dw_band_nm(i) - dw_band_nm(j)) / length_nm;
      C[i * DW_BANDS + j] = shared * shared + own * own * exp(-apart * apart / 2);
    }
  dw_status status = dw_symmetric_eigen(C, DW_BANDS, values, err);
  if (status != DW_OK) return status;
  memset(out, 0, sizeof *out);
  for (size_t v = DW_BANDS; v-- > 0;) {
    if (values[v] < EIGENVALUE_SHARE * values[DW_BANDS - 1]) break;
    for (size_t i = 0; i < DW_BANDS; i++) out->b[i][out->rank] = sqrt(values[v]) * C[v * DW_BANDS + i];
    out->rank++;
  }
  return DW_OK;
}

void dw__basis_project(const dw__basis *basis, const double curve[DW_BANDS], double *u) {
  for (size_t j = 0; j < basis->rank; j++) { /* columns are orthogonal */
    double dot = 0, square = 0;
    for (size_t i = 0; i < DW_BANDS; i++)
      dot += basis->b[i][j] * curve[i], square += basis->b[i][j] * basis->b[i][j];
    u[j] = dot / square;
  }
}
