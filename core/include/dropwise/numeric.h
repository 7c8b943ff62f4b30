/* Robust statistics, small dense linear algebra (over LAPACK), monotone interpolation, tail probabilities.
 * All matrices are row-major.  Thread-safe; no global state. */
#ifndef DROPWISE_NUMERIC_H
#define DROPWISE_NUMERIC_H

#include "dropwise/base.h"

/* ---- order statistics: x is reordered; NaN is not allowed; 0 for n = 0 ------------------------------- */

double dw_median(double *x, size_t n);
float dw_median_f(float *x, size_t n);
/* Linear interpolation between order statistics, q in 0..1 (type 7 of Hyndman and Fan 1996). */
double dw_quantile(double *x, size_t n, double q);
/* 1.4826 times the median absolute deviation from center: estimates sigma of a normal. x is reordered. */
double dw_mad_sigma(double *x, size_t n, double center);
double dw_mean(const double *x, size_t n);
double dw_stddev(const double *x, size_t n); /* n - 1 in the divisor; 0 for n < 2 */

/* ---- least squares ----------------------------------------------------------------------------------- */

/* min |A X - B|: A rows x cols, B rows x rhs, X cols x rhs; minimum norm where A lacks rank (dgelsd).
 * A and B are read only; X is unchanged on error.
 * Errors DW_BAD_INPUT (not finite), DW_TOO_LARGE over 2^25 elements, DW_NO_MEMORY, DW_INTERNAL */
dw_status dw_least_squares(const double *A, const double *B, size_t rows, size_t cols, size_t rhs, double *X,
                           dw_error *err);
/* The same with a ridge: min |A X - B|^2 + |diag(ridge) (X - X0)|^2; ridge cols; X0 cols x rhs or NULL for 0.
 */
dw_status dw_ridge(const double *A, const double *B, size_t rows, size_t cols, size_t rhs,
                   const double *ridge, const double *X0, double *X, dw_error *err);
/* Cholesky of a symmetric positive definite n x n matrix: in place to its lower triangle L (upper zeroed).
 * DW_BAD_INPUT when it is not positive definite, DW_TOO_LARGE above an order of 8192. */
dw_status dw_cholesky(double *A, size_t n, dw_error *err);
/* Solves L L' x = b in place for nrhs right-hand sides; b is n x nrhs. */
void dw_cholesky_solve(const double *L, size_t n, double *b, size_t nrhs);
/* Solves L x = b in place for one right-hand side. */
void dw_cholesky_solve_lower(const double *L, size_t n, double *b);
/* Solves L' x = b in place for one right-hand side (draws with covariance (L L')^-1 from unit normals). */
void dw_cholesky_solve_transposed(const double *L, size_t n, double *b);
/* Symmetric eigenproblem: A n x n is overwritten by eigenvectors, row i belonging to values[i], ascending. */
dw_status dw_symmetric_eigen(double *A, size_t n, double *values, dw_error *err);

/* ---- monotone piecewise cubic Hermite (Fritsch and Butland 1984) ------------------------------------- */

enum { DW_CURVE_MAX = 32 };
typedef struct dw_curve {
  size_t n;
  double x[DW_CURVE_MAX], y[DW_CURVE_MAX], slope[DW_CURVE_MAX];
} dw_curve;
/* x strictly ascending, 2 <= n <= DW_CURVE_MAX. Monotone where y is. DW_BAD_INPUT otherwise. */
dw_status dw_curve_fit(const double *x, const double *y, size_t n, dw_curve *out, dw_error *err);
double dw_curve_at(const dw_curve *curve, double x); /* continued by its end slopes outside */

/* ---- projective map of the plane --------------------------------------------------------------------- */

typedef struct dw_homography {
  double m[9];
} dw_homography;
/* The map that sends from[i] to to[i] for four points, no three on a line (x,y pairs, 8 numbers each).
 * DW_BAD_INPUT when they are degenerate. */
dw_status dw_homography_fit(const double from[8], const double to[8], dw_homography *out, dw_error *err);
/* The same for n points, n >= 4, by least squares.  Errors DW_TOO_FEW, DW_BAD_INPUT (all on a line) */
dw_status dw_homography_fit_many(const double *from, const double *to, size_t n, dw_homography *out,
                                 dw_error *err);
void dw_homography_at(const dw_homography *map, double x, double y, double *out_x, double *out_y);

/* ---- tails ------------------------------------------------------------------------------------------- */

double dw_student_t_two_sided(double t, double degrees_of_freedom); /* P(|T| >= |t|) */
/* P(F >= f) of Fisher's F; degrees of freedom above 0, up to about 1e6. NAN for nonsense. */
double dw_f_upper_tail(double f, double d1, double d2);
/* Spearman's rank correlation with midranks for ties, and its two-sided p-value by Student's t with n - 2
 * degrees of freedom. n >= 3, else DW_TOO_FEW; DW_BAD_INPUT when one side is constant. */
dw_status dw_rank_correlation(const double *x, const double *y, size_t n, double *rho, double *p,
                              dw_error *err);
/* Between which values the correlation lies with 95%, of n > 3 pairs. */
void dw_rank_correlation_interval(double rho, size_t n, double *low, double *high);

/* ---- random numbers for simulation and draws (PCG32, O'Neill 2014): same seed, same numbers everywhere */

typedef struct dw_random {
  uint64_t state, stream;
} dw_random;
dw_random dw_random_seed(uint64_t seed);
double dw_random_uniform(dw_random *random); /* 0 <= x < 1 */
double dw_random_normal(dw_random *random);  /* mean 0, deviation 1 */

#endif
