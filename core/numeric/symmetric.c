/* Cholesky and eigenvectors of symmetric matrices over LAPACK.
 *
 * A row-major matrix is the transpose of the same memory read column-major: a lower triangle here is LAPACK's
 * upper one, and its columns of eigenvectors are our rows. So nothing is copied or transposed. */
#include "dropwise/numeric.h"

#include <lapacke.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MAX_ORDER = 8192 }; /* 512 MiB of doubles; also keeps n * n within LAPACK's 32-bit integers */
enum {
  SMALL_ORDER = 48, /* up to here the plain factor of a packed triangle takes less than the recursive one */
  SMALL_SPACE = 512 /* doubles of work space that need no memory: so small eigenvectors can always be had */
};

static dw_status order_check(const double *A, size_t n, dw_error *err) {
  if (n > MAX_ORDER)
    return dw_fail(err, DW_TOO_LARGE, "A symmetric matrix of order %zu is too large: the most is %d.", n,
                   MAX_ORDER);
  for (size_t i = 0; i < n * n; i++)
    if (!isfinite(A[i]))
      return dw_fail(
          err, DW_BAD_INPUT,
          "A symmetric matrix of order %zu has a value that is not finite: check the measurements.", n);
  return DW_OK;
}

/* Row after row of the lower triangle; returns what LAPACK says. */
static lapack_int factor_packed(double *A, size_t n) {
  double packed[SMALL_ORDER * (SMALL_ORDER + 1) / 2], *at = packed;
  for (size_t i = 0; i < n; at += ++i) memcpy(at, A + i * n, (i + 1) * sizeof *at);
  lapack_int info = LAPACKE_dpptrf_work(LAPACK_COL_MAJOR, 'U', (lapack_int)n, packed);
  at = packed;
  for (size_t i = 0; i < n; at += ++i) memcpy(A + i * n, at, (i + 1) * sizeof *at);
  return info;
}

dw_status dw_cholesky(double *A, size_t n, dw_error *err) {
  dw_status status = order_check(A, n, err);
  if (status != DW_OK || n == 0) return status;
  lapack_int info = n <= SMALL_ORDER
                        ? factor_packed(A, n)
                        : LAPACKE_dpotrf_work(LAPACK_COL_MAJOR, 'U', (lapack_int)n, A, (lapack_int)n);
  if (info != 0)
    return dw_fail(err, DW_BAD_INPUT, "A matrix of order %zu is not positive definite (row %d).", n,
                   (int)info);
  for (size_t i = 0; i < n; i++)
    for (size_t j = i + 1; j < n; j++) A[i * n + j] = 0.0;
  return DW_OK;
}

/* Substitution by hand: LAPACK's solvers for row-major right-hand sides allocate, and these cannot fail. */
static void solve_forward(const double *L, size_t n, double *b, size_t nrhs) {
  for (size_t i = 0; i < n; i++) {
    for (size_t k = 0; k < i; k++)
      for (size_t j = 0; j < nrhs; j++) b[i * nrhs + j] -= L[i * n + k] * b[k * nrhs + j];
    for (size_t j = 0; j < nrhs; j++) b[i * nrhs + j] /= L[i * n + i];
  }
}

static void solve_backward(const double *L, size_t n, double *b, size_t nrhs) {
  for (size_t i = n; i-- > 0;) {
    for (size_t j = 0; j < nrhs; j++) b[i * nrhs + j] /= L[i * n + i];
    for (size_t k = 0; k < i; k++)
      for (size_t j = 0; j < nrhs; j++) b[k * nrhs + j] -= L[i * n + k] * b[i * nrhs + j];
  }
}

void dw_cholesky_solve_lower(const double *L, size_t n, double *b) {
  for (size_t i = 0; i < n; i++) {
    const double *row = L + i * n;
    double sum = b[i];
    for (size_t k = 0; k < i; k++) sum -= row[k] * b[k];
    b[i] = sum / row[i];
  }
}

void dw_cholesky_solve(const double *L, size_t n, double *b, size_t nrhs) {
  if (nrhs == 1) {
    dw_cholesky_solve_lower(L, n, b);
    dw_cholesky_solve_transposed(L, n, b);
    return;
  }
  solve_forward(L, n, b, nrhs);
  solve_backward(L, n, b, nrhs);
}

void dw_cholesky_solve_transposed(const double *L, size_t n, double *b) {
  for (size_t i = n; i-- > 0;) {
    const double *row = L + i * n, at = b[i] /= row[i];
    for (size_t k = 0; k < i; k++) b[k] -= row[k] * at;
  }
}

/* With work space of our own: where LAPACKE has none it says so on the standard output. */
static lapack_int run_dsyevd(double *A, lapack_int n, double *values) {
  double reals = 0, small[SMALL_SPACE], *space = small;
  lapack_int wholes = 0;
  lapack_int info = LAPACKE_dsyevd_work(LAPACK_COL_MAJOR, 'V', 'U', n, A, n, values, &reals, -1, &wholes, -1);
  size_t size = (size_t)reals + (size_t)wholes; /* an integer takes no more than a double */
  if (info == 0 && size > SMALL_SPACE) space = malloc(size * sizeof *space);
  if (!space) return LAPACK_WORK_MEMORY_ERROR;
  if (info == 0)
    info = LAPACKE_dsyevd_work(LAPACK_COL_MAJOR, 'V', 'U', n, A, n, values, space, (lapack_int)reals,
                               (lapack_int *)(space + (size_t)reals), wholes);
  if (space != small) free(space);
  return info;
}

dw_status dw_symmetric_eigen(double *A, size_t n, double *values, dw_error *err) {
  dw_status status = order_check(A, n, err);
  if (status != DW_OK || n == 0) return status;
  lapack_int info = run_dsyevd(A, (lapack_int)n, values);
  if (info == LAPACK_WORK_MEMORY_ERROR) return dw_fail_memory(err, "the eigenvector work space");
  if (info != 0)
    return dw_fail(err, DW_INTERNAL,
                   "The eigenvectors of a matrix of order %zu did not converge (dsyevd %d).", n, (int)info);
  return DW_OK;
}
