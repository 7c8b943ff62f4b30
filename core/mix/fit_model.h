/* The fit's inside: what is unknown, what a chip says of it, and the steps to the best answer.
 *
 * Unknown are, for the clear base and every bottle, the logarithms of k and s as smooth random curves
 *   ln k = mk + Bk u,  ln s = ms + Bs v,  u, v ~ N(0, 1),
 * and the surface: k2 and the air gap. docs/mixing-model.md#fit */
#ifndef POURTONE_MIX_FIT_MODEL_H
#define POURTONE_MIX_FIT_MODEL_H

#include "mix/km.h"
#include "pourtone/fit.h"
#include "pourtone/numeric.h"

enum { PT__SURFACE_UNKNOWNS = 2, PT__CHIP_MATERIALS = PT_CUP_BOTTLES_MAX + 1 };

/* A random smooth curve over the bands: its mean apart, deviations b u. */
typedef struct pt__basis {
  size_t rank;
  double b[PT_BANDS][PT_BANDS]; /* band by column, largest eigenvalue first */
} pt__basis;

/* Curves of deviation `shared` common to all bands and `own` of each, alike over `length_nm`.
 * Errors PT_INTERNAL, PT_NO_MEMORY from the eigenproblem */
pt_status pt__basis_make(double shared, double own, double length_nm, pt__basis *out, pt_error *err);
/* Coordinates of a curve (ln k minus its mean) in the basis, nearest. */
void pt__basis_project(const pt__basis *basis, const double curve[PT_BANDS], double *u);

/* One chip as the fit sees it. Material 0 is the clear base. */
typedef struct pt__fit_chip {
  size_t n; /* materials, base included */
  size_t material[PT__CHIP_MATERIALS];
  double loading[PT__CHIP_MATERIALS];
  pt_slab slab;
  pt_lab lab;
  double metric[9]; /* Lab difference to residual: CIEDE2000 at lab over its deviation */
  double weight;    /* on the squared residual: 0.3 when clipped, less where it disagrees with the others */
  double clip_weight;
} pt__fit_chip;

typedef struct pt__problem {
  pt__basis bk, bs;
  size_t n_materials;
  int shelf_index[PT_SHELF_MAX + 1]; /* bottle of the shelf; -1 for the base */
  size_t per_material;               /* unknowns of one material: bk.rank + bs.rank */
  size_t n_unknowns;                 /* n_materials * per_material + PT__SURFACE_UNKNOWNS */
  double k1;
  bool surface_free; /* the chips tell of the surface; else it stays as the shelf has it */
  double trust;      /* factor on all chips' weights against the prior; 1 but for the first steps */
  size_t n;
  pt__fit_chip *chip;
} pt__problem;

/* A point of the search with what is computed at it. Arrays are n_unknowns long or as said. */
typedef struct pt__point {
  double *x;           /* unknowns; k2 and gap are the last two */
  pt_spectra *spectra; /* n_materials */
  double cost;         /* sum of weighted squares, plus the prior's */
} pt__point;

double pt__mean_ln_k(size_t material); /* of the prior: base or bottle */
double pt__mean_ln_s(size_t material);
pt_surface pt__point_surface(const pt__problem *problem, const double *x);
/* Fills point->spectra from point->x. */
void pt__spectra_fill(const pt__problem *problem, pt__point *point);

/* Color of a chip at the point (spectra filled). */
pt_lab pt__chip_lab(const pt__problem *problem, const pt__fit_chip *chip, const pt__point *point);
/* Residual of a chip at the point (spectra filled): 3 numbers, unweighted.
 * J  NULL, or 3 rows of (chip->n * per_material + PT__SURFACE_UNKNOWNS): derivatives by the unknowns of its
 *    materials, in the chip's own order, then by k2 and gap */
void pt__chip_residual(const pt__problem *problem, const pt__fit_chip *chip, const pt__point *point,
                       double residual[3], double *J);
/* Sum of weighted squares and the prior's: sets point->cost, spectra filled. */
void pt__cost_fill(const pt__problem *problem, pt__point *point);
/* Half the second derivative (Gauss-Newton) H, lower triangle, and half the downhill gradient g. */
pt_status pt__normal_fill(const pt__problem *problem, const pt__point *point, double *H, double *g,
                          pt_error *err);

/* Levenberg-Marquardt from `point` toward its minimum: at most max_steps, until one gains less than
 * gain_least in cost. *steps is added to. */
pt_status pt__fit_descend(const pt__problem *problem, size_t max_steps, double gain_least, pt__point *point,
                          size_t *steps, pt_error *err);

/* Takes unknown i out of the equations (its step is 0). H lower triangle, n x n. */
void pt__unknown_freeze(double *H, double *g, size_t n, size_t i);

pt_status pt__point_new(const pt__problem *problem, pt__point *out, pt_error *err);
void pt__point_copy(const pt__problem *problem, const pt__point *from, pt__point *to);
void pt__point_free(pt__point *point);

/* Builds the problem: which bottles, which chips. Errors PT_BAD_INPUT the chip at fault, PT_NO_MEMORY */
pt_status pt__problem_make(const pt_shelf *shelf, const pt_chip *chips, size_t n, pt__problem *out,
                           pt_error *err);
/* A chip (or pour) by its number, from 1: every value in range, or which is not. */
pt_status pt__chip_check(const pt_chip *chip, size_t bottles, size_t number, pt_error *err);
void pt__problem_free(pt__problem *problem);

/* Joint draws around the point into the shelf's bottles and base: Laplace, antithetic pairs. */
pt_status pt__posterior_draw(const pt__problem *problem, const pt__point *point, pt_shelf *shelf,
                             pt_error *err);

/* Warnings, suggestions and the worst chip in words. */
void pt__fit_describe(const pt_chip *chips, pt_fit *fit);

#endif
