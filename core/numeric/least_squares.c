/* Dense linear least squares over LAPACK's dgelsd (singular values, minimum norm). */
#include "dropwise/numeric.h"

#include <lapacke.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* 32 Mi doubles, 256 MiB: far above any fit made here, and every index fits LAPACK's 32-bit integers. */
enum { MAX_ELEMENTS = 1 << 25 };
/* Up to so many doubles a fit needs no memory: so a curve or a plane through some dozen places can always be had. */
enum { SMALL_SPACE = 4096 };

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

/* What dgelsd works in, one behind the other. */
typedef struct space {
  double *a, *b, *singular, *work;
  lapack_int *wholes; /* an integer takes no more than a double */
  lapack_int n_work;
} space;

/* dgelsd itself, or where `at` is NULL, how much of both kinds it wants to work in. */
static lapack_int run_dgelsd(const problem *p, size_t height, const space *at, double *n_work,
                             lapack_int *n_wholes) {
  lapack_int rank = 0, rows = (lapack_int)height, cols = (lapack_int)p->cols, rhs = (lapack_int)p->rhs;
  lapack_int lda = rows > 1 ? rows : 1, ldb = lda > cols ? lda : cols;
  double none = 0;
  if (!at)
    return LAPACKE_dgelsd_work(LAPACK_COL_MAJOR, rows, cols, rhs, &none, lda, &none, ldb, &none, -1.0, &rank,
                               n_work, -1, n_wholes);
  return LAPACKE_dgelsd_work(LAPACK_COL_MAJOR, rows, cols, rhs, at->a, lda, at->b, ldb, at->singular, -1.0,
                             &rank, at->work, at->n_work, at->wholes);
}

static dw_status solve_in(const problem *p, size_t height, const space *at, double *X, dw_error *err) {
  size_t tallest = height > p->cols ? height : p->cols;
  problem_stack(p, height, tallest, at->a, at->b);
  lapack_int info = run_dgelsd(p, height, at, NULL, NULL);
  if (info != 0)
    return dw_fail(err, DW_INTERNAL, "A least-squares fit of %zu by %zu did not converge (dgelsd %d).",
                   height, p->cols, (int)info);
  for (size_t i = 0; i < p->cols; i++)
    for (size_t j = 0; j < p->rhs; j++) X[i * p->rhs + j] = at->b[j * tallest + i];
  return DW_OK;
}

/* In work space of our own: where LAPACKE has none it says so on the standard output. */
static dw_status solve_sized(const problem *p, size_t height, size_t a_size, size_t b_size, double *X,
                             dw_error *err) {
  double small[SMALL_SPACE], *all = small, n_work = 0;
  lapack_int n_wholes = 0;
  if (run_dgelsd(p, height, NULL, &n_work, &n_wholes) != 0)
    return dw_fail(err, DW_INTERNAL, "A least-squares fit of %zu by %zu could not be begun.", height,
                   p->cols);
  size_t size = a_size + 1 + b_size + p->cols + (size_t)n_work + (size_t)n_wholes + 1;
  if (size > SMALL_SPACE) all = malloc(size * sizeof *all);
  if (!all) return dw_fail_memory(err, "the least-squares work space");
  memset(all, 0, size * sizeof *all);
  double *b = all + a_size + 1, *singular = b + b_size, *work = singular + p->cols;
  const space at = {all, b, singular, work, (lapack_int *)(work + (size_t)n_work), (lapack_int)n_work};
  dw_status status = solve_in(p, height, &at, X, err);
  if (all != small) free(all);
  return status;
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
  return solve_sized(p, height, a_size, b_size, X, err);
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
