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
  DW__OWN_MAX = 3 * DW_BAIT_LAYERS_MAX + 4 * DW__BORDERS_MAX,
  DW__FREE_MAX = 3 * DW__BORDERS_MAX,
  DW__BEND_STEPS = 32
};

/* Products over all places before one, of a layer that is alone there: with itself, with the profile, and the profile's own;
 * and with the shades of the one and of the profile. */
typedef struct dw__alone {
  double layer, both, profile, layer_shade[DW__SHADES], profile_shade[DW__SHADES];
} dw__alone;

typedef struct dw__model {
  const dw__strip *strip;
  size_t layers;
  double thinnest;
  double weight[DW__ACROSS][3];
  double shade[DW__ACROSS][3][DW__SHADES]; /* what shading, the board and gloss add at each place, weighted */
  double shades_factor[DW__SHADES *
                       DW__SHADES]; /* Cholesky, of their products over the profile and their priors */
  dw__alone alone[DW__ACROSS + 1][3];
  double coefficient[DW__OWN_MAX]; /* solved last: layers' and blends' colors by channel, how blends mix */
  double blend_prior[DW__BORDERS_MAX];
  double bend[DW__BORDERS_MAX][DW__BEND_STEPS + 1]
             [3]; /* off the line between two layers, by the second one's weight */
} dw__model;

/* unexplained  what the model leaves of any real profile, about CIEDE2000 */
void dw__model_make(const dw__strip *strip, size_t layers, double thinnest, double unexplained,
                    dw__model *out);
/* Colors of the blend between layers k and k + 1 by what was solved last. */
void dw__model_bend(dw__model *model, size_t k);
/* Solves for the linear part; returns the sum of squares that is left, priors included, or infinity.
 * free  borders, logarithms of the halves, logarithms of the ratios of strengths */
double dw__model_solve(dw__model *model, const double *free);
/* Gauss and Newton's equations for a move of `free`, where it was solved for last: normal * move = right.  n x n, row
 * by row; false where there are none */
bool dw__model_slopes(const dw__model *model, const double *free, double normal[DW__FREE_MAX * DW__FREE_MAX],
                      double right[DW__FREE_MAX]);

#endif
