/* The fit's inside: what is unknown, what a chip says of it, and the steps to the best answer.
 *
 * Unknown are, for the clear base and every bottle, the logarithms of k and s as smooth random curves
 *   ln k = mk + Bk u,  ln s = ms + Bs v,  u, v ~ N(0, 1),
 * and the surface: k2 and the air gap. docs/mixing-model.md#fit */
#ifndef DROPWISE_MIX_FIT_MODEL_H
#define DROPWISE_MIX_FIT_MODEL_H

#include "dropwise/fit.h"
#include "dropwise/numeric.h"
#include "mix/km.h"

enum { DW__SURFACE_UNKNOWNS = 2, DW__CHIP_MATERIALS = DW_CUP_BOTTLES_MAX + 1 };

/* A random smooth curve over the bands: its mean apart, deviations b u. */
typedef struct dw__basis {
  size_t rank;
  double b[DW_BANDS][DW_BANDS]; /* band by column, largest eigenvalue first */
} dw__basis;

/* Curves of deviation `shared` common to all bands and `own` of each, alike over `length_nm`.
 * Errors DW_INTERNAL, DW_NO_MEMORY from the eigenproblem */
dw_status dw__basis_make(double shared, double own, double length_nm, dw__basis *out, dw_error *err);
/* Coordinates of a curve (ln k minus its mean) in the basis, nearest. */
void dw__basis_project(const dw__basis *basis, const double curve[DW_BANDS], double *u);

/* One chip as the fit sees it. Material 0 is the clear base. */
typedef struct dw__fit_chip {
  size_t n; /* materials, base included */
  size_t material[DW__CHIP_MATERIALS];
  double loading[DW__CHIP_MATERIALS];
  dw_slab slab;
  dw_lab lab;
  double metric[9]; /* Lab difference to residual: CIEDE2000 at lab over its deviation */
  double weight;    /* on the squared residual: 0.3 when clipped, less where it disagrees with the others */
  double clip_weight;
} dw__fit_chip;

typedef struct dw__problem {
  dw__basis bk, bs;
  size_t n_materials;
  int shelf_index[DW_SHELF_MAX + 1]; /* bottle of the shelf; -1 for the base */
  size_t per_material;               /* unknowns of one material: bk.rank + bs.rank */
  size_t n_unknowns;                 /* n_materials * per_material + DW__SURFACE_UNKNOWNS */
  double k1;
  bool surface_free; /* the chips tell of the surface; else it stays as the shelf has it */
  double trust;      /* factor on all chips' weights against the prior; 1 but for the first steps */
  size_t n;
  dw__fit_chip *chip;
} dw__problem;

/* A point of the search with what is computed at it. Arrays are n_unknowns long or as said. */
typedef struct dw__point {
  double *x;           /* unknowns; k2 and gap are the last two */
  dw_spectra *spectra; /* n_materials */
  double cost;         /* sum of weighted squares, plus the prior's */
} dw__point;

double dw__mean_ln_k(size_t material); /* of the prior: base or bottle */
double dw__mean_ln_s(size_t material);
dw_surface dw__point_surface(const dw__problem *problem, const double *x);
/* Fills point->spectra from point->x. */
void dw__spectra_fill(const dw__problem *problem, dw__point *point);

/* Color of a chip at the point (spectra filled). */
dw_lab dw__chip_lab(const dw__problem *problem, const dw__fit_chip *chip, const dw__point *point);
/* Residual of a chip at the point (spectra filled): 3 numbers, unweighted.
 * J  NULL, or 3 rows of (chip->n * per_material + DW__SURFACE_UNKNOWNS): derivatives by the unknowns of its
 *    materials, in the chip's own order, then by k2 and gap */
void dw__chip_residual(const dw__problem *problem, const dw__fit_chip *chip, const dw__point *point,
                       double residual[3], double *J);
/* Sum of weighted squares and the prior's: sets point->cost, spectra filled. */
void dw__cost_fill(const dw__problem *problem, dw__point *point);
/* Half the second derivative (Gauss-Newton) H, lower triangle, and half the downhill gradient g. */
dw_status dw__normal_fill(const dw__problem *problem, const dw__point *point, double *H, double *g,
                          dw_error *err);

/* Levenberg-Marquardt from `point` toward its minimum: at most max_steps, until one gains less than
 * gain_least in cost. *steps is added to. */
dw_status dw__fit_descend(const dw__problem *problem, size_t max_steps, double gain_least, dw__point *point,
                          size_t *steps, dw_error *err);

/* Takes unknown i out of the equations (its step is 0). H lower triangle, n x n. */
void dw__unknown_freeze(double *H, double *g, size_t n, size_t i);

dw_status dw__point_new(const dw__problem *problem, dw__point *out, dw_error *err);
void dw__point_copy(const dw__problem *problem, const dw__point *from, dw__point *to);
void dw__point_free(dw__point *point);

/* Builds the problem: which bottles, which chips. Errors DW_BAD_INPUT the chip at fault, DW_NO_MEMORY */
dw_status dw__problem_make(const dw_shelf *shelf, const dw_chip *chips, size_t n, dw__problem *out,
                           dw_error *err);
/* A chip (or pour) by its number, from 1: every value in range, or which is not. */
dw_status dw__chip_check(const dw_chip *chip, size_t bottles, size_t number, dw_error *err);
void dw__problem_free(dw__problem *problem);

/* Joint draws around the point into the shelf's bottles and base: Laplace, antithetic pairs. */
dw_status dw__posterior_draw(const dw__problem *problem, const dw__point *point, dw_shelf *shelf,
                             dw_error *err);

/* Warnings, suggestions and the worst chip in words. */
void dw__fit_describe(const dw_chip *chips, dw_fit *fit);

#endif
