/* Inside card/: the model that maps a photo's values to the card's colors: tone curves, slope of the light,
 * root-polynomial, residual. */
#ifndef POURTONE_CARD_MODEL_H
#define POURTONE_CARD_MODEL_H

#include "pourtone/color.h"
#include "pourtone/numeric.h"

#include <math.h>

/* Square root that keeps the sign: photos in wide profiles have values below 0. */
static inline double pt__signed_root(double value) {
  return value >= 0.0 ? sqrt(value) : -sqrt(-value);
}

enum { PT__FEATURES = 6 };

/* A Gaussian process over Lab: corrections that fade with the distance from the patches. */
typedef struct pt__residual {
  size_t n;              /* 0: none */
  double *center, *pull; /* n x 3 each, Lab; one allocation, owned through center */
} pt__residual;

typedef struct pt__model {
  pt_curve curve[3];            /* signed sqrt of the photo's value to sqrt of reflectance */
  double field[2];              /* log of the light per board unit, x and y */
  double root[PT__FEATURES][3]; /* root-polynomial features to XYZ */
  pt__residual residual;
} pt__model;

/* Signed square root of one linear value to that of its reflectance: at least 0 where the value is. */
double pt__bend_root(const pt_curve *curve, double root);
/* One linear value to reflectance. */
double pt__bend_at(const pt_curve *curve, double value);
double pt__field_gain(const double field[2], const double place[2]);
/* Linear light of a sample or pixel: bent and relieved of the field. */
void pt__model_reflectance(const pt__model *model, const double rgb[3], const double place[2], double out[3]);
void pt__root_features(const double reflectance[3], double out[PT__FEATURES]);
/* Without the residual; place NULL: the card's middle. */
void pt__model_xyz(const pt__model *model, const double rgb[3], const double place[2], double out[3]);

void pt__residual_free(pt__residual *residual);
/* Covariance of the corrections at two places in Lab, 3 values each; 0 beyond its reach. */
double pt__residual_kernel(const double *a, const double *b);
/* Moves a Lab as the residual says; nothing where there is none. */
pt_lab pt__residual_at(const pt__residual *residual, pt_lab lab);
/* The whole model: working values at a place (NULL: the card's middle) to Lab. */
pt_lab pt__model_lab(const pt__model *model, const double rgb[3], const double place[2]);

#endif
