/* The model of a profile across a body: layers' colors, blends, shading. */
#ifndef BAIT_MODEL_H
#define BAIT_MODEL_H

#include "bait/fit.h"

enum {
  DW__ACROSS = DW_BAIT_PROFILE,
  DW__BORDERS_MAX = DW_BAIT_LAYERS_MAX - 1,
  DW__STREAKS = 16,
  DW__FORMS = 9,
  DW__SHADES = DW__FORMS + DW__STREAKS,
  DW__LINEAR_MAX = 3 * DW_BAIT_LAYERS_MAX + 4 * DW__BORDERS_MAX + DW__SHADES,
  DW__FREE_MAX = 3 * DW__BORDERS_MAX,
  DW__TERMS_MAX = DW__FORMS + 2,
  DW__BEND_STEPS = 32,
  DW__ROWS_MAX = 3 * DW__ACROSS + DW__LINEAR_MAX + DW__FREE_MAX
};

typedef struct dw__term {
  size_t which; /* coefficient */
  double much;
} dw__term;

typedef struct dw__model {
  const dw__strip *strip;
  size_t layers, linear, rows;
  double thinnest;
  double weight[DW__ACROSS][2]; /* for L*, and for a*, b* */
  dw__term shade[DW__ACROSS][3]
                [DW__TERMS_MAX]; /* per channel: what the form adds there, then streaks of gloss */
  size_t shades[DW__ACROSS][3];
  double shades_inverse[DW__SHADES * DW__SHADES]; /* of their part of the normal equations, which stays */
  double coefficient[DW__LINEAR_MAX];
  double blend_prior[DW__BORDERS_MAX];
  double bend[DW__BORDERS_MAX][DW__BEND_STEPS + 1]
             [3]; /* off the line between two layers, by the second one's weight */
} dw__model;

/* unexplained  what the model leaves of any real profile, about CIEDE2000 */
void dw__model_make(const dw__strip *strip, size_t layers, double thinnest, double unexplained,
                    dw__model *out);
/* Colors of the blend between layers k and k + 1 by what was solved last. */
void dw__model_bend(dw__model *model, size_t k);
/* Solves for the linear part and fills the residuals; returns their sum of squares, or infinity.
 * free  borders, logarithms of the halves, logarithms of the ratios of strengths */
double dw__model_solve(dw__model *model, const double *free, double residual[DW__ROWS_MAX]);

#endif
