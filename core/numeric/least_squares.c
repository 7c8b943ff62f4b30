/* Dense linear least squares over LAPACK's dgelsd (singular values, minimum norm). */
#include "dropwise/numeric.h"

#include <lapacke.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* 32 Mi doubles, 256 MiB: far above any fit made here, and every index fits LAPACK's 32-bit integers. */
enum { MAX_ELEMENTS = 1 << 25 };

typedef struct problem {
  const double *A, *B;
  size_t rows, cols, rhs;
  const double *ridge, *X0; /* ridge NULL: none */
} problem;

static bool all_finite(const double *x, size_t n) {
  for (size_t i = 0; i < n; i++)
    if (!isfinite(x[i])) return false;
  return true;
}

static bool problem_finite(const problem *p) {
  return all_finite(p->A, p->rows * p->cols) && all_finite(p->B, p->rows * p->rhs) &&
         (!p->ridge || all_finite(p->ridge, p->cols)) && (!p->X0 || all_finite(p->X0, p->cols * p->rhs));
}

/* The sizes of both work arrays; false when one is beyond the bound. */
static bool problem_sizes(const problem *p, size_t *height, size_t *a_size, size_t *b_size) {
  size_t total = 0, tallest = 0;
  if (!dw_size_add(p->rows, p->ridge ? p->cols : 0, &total)) return false;
  tallest = total > p->cols ? total : p->cols; /* dgelsd leaves cols rows of X in B */
  *height = total;
  return dw_size_mul(total, p->cols, a_size) && *a_size <= MAX_ELEMENTS &&
         dw_size_mul(tallest, p->rhs, b_size) && *b_size <= MAX_ELEMENTS;
}

/* Column-major copies: A above diag(ridge), B above diag(ridge) X0. The arrays come zeroed. */
static void problem_stack(const problem *p, size_t height, size_t tallest, double *a, double *b) {
  for (size_t i = 0; i < p->rows; i++) {
    for (size_t j = 0; j < p->cols; j++) a[j * height + i] = p->A[i * p->cols + j];
    for (size_t j = 0; j < p->rhs; j++) b[j * tallest + i] = p->B[i * p->rhs + j];
  }
  for (size_t i = 0; p->ridge && i < p->cols; i++) {
    a[i * height + p->rows + i] = p->ridge[i];
    for (size_t j = 0; p->X0 && j < p->rhs; j++)
      b[j * tallest + p->rows + i] = p->ridge[i] * p->X0[i * p->rhs + j];
  }
}

static dw_status run_dgelsd(const problem *p, size_t height, double *a, double *b, double *singular,
                            dw_error *err) {
  lapack_int rank = 0, rows = (lapack_int)height, cols = (lapack_int)p->cols;
  lapack_int lda = rows > 1 ? rows : 1, ldb = lda > cols ? lda : cols;
  lapack_int info =
      LAPACKE_dgelsd(LAPACK_COL_MAJOR, rows, cols, (lapack_int)p->rhs, a, lda, b, ldb, singular, -1.0, &rank);
  if (info == LAPACK_WORK_MEMORY_ERROR) return dw_fail_memory(err, "the least-squares work space");
  if (info != 0)
    return dw_fail(err, DW_INTERNAL, "A least-squares fit of %zu by %zu did not converge (dgelsd %d).",
                   height, p->cols, (int)info);
  return DW_OK;
}

static dw_status problem_solve(const problem *p, double *X, dw_error *err) {
  if (p->cols == 0 || p->rhs == 0) return DW_OK;
  size_t height = 0, a_size = 0, b_size = 0;
  if (!problem_sizes(p, &height, &a_size, &b_size))
    return dw_fail(err, DW_TOO_LARGE, "A least-squares fit of %zu by %zu is too large: use fewer samples.",
                   p->rows, p->cols);
  if (!problem_finite(p))
    return dw_fail(err, DW_BAD_INPUT,
                   "A least-squares fit was given a value that is not finite: check the measurements.");
  size_t tallest = height > p->cols ? height : p->cols;
  double *a = calloc(a_size + 1, sizeof *a), *b = calloc(b_size, sizeof *b);
  double *singular = calloc(p->cols, sizeof *singular);
  dw_status status;
  if (!a || !b || !singular) {
    status = dw_fail_memory(err, "the least-squares work space");
    goto done;
  }
  problem_stack(p, height, tallest, a, b);
  status = run_dgelsd(p, height, a, b, singular, err);
  for (size_t i = 0; status == DW_OK && i < p->cols; i++)
    for (size_t j = 0; j < p->rhs; j++) X[i * p->rhs + j] = b[j * tallest + i];
done:
  free(a);
  free(b);
  free(singular);
  return status;
}

dw_status dw_least_squares(const double *A, const double *B, size_t rows, size_t cols, size_t rhs, double *X,
                           dw_error *err) {
  return dw_ridge(A, B, rows, cols, rhs, NULL, NULL, X, err);
}

dw_status dw_ridge(const double *A, const double *B, size_t rows, size_t cols, size_t rhs,
                   const double *ridge, const double *X0, double *X, dw_error *err) {
  const problem p = {A, B, rows, cols, rhs, ridge, X0};
  return problem_solve(&p, X, err);
}
