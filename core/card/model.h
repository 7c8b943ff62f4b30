/* Inside card/: the model that maps a photo's values to the card's colors: tone curves, slope of the light,
 * root-polynomial, residual. */
#ifndef DROPWISE_CARD_MODEL_H
#define DROPWISE_CARD_MODEL_H

#include "dropwise/color.h"
#include "dropwise/numeric.h"

#include <math.h>

/* Square root that keeps the sign: photos in wide profiles have values below 0. */
static inline double dw__signed_root(double value) {
  return value >= 0.0 ? sqrt(value) : -sqrt(-value);
}

enum { DW__FEATURES = 6 };

/* A Gaussian process over Lab: corrections that fade with the distance from the patches. */
typedef struct dw__residual {
  size_t n;              /* 0: none */
  double *center, *pull; /* n x 3 each, Lab; one allocation, owned through center */
} dw__residual;

typedef struct dw__model {
  dw_curve curve[3];            /* signed sqrt of the photo's value to sqrt of reflectance */
  double field[2];              /* log of the light per board unit, x and y */
  double root[DW__FEATURES][3]; /* root-polynomial features to XYZ */
  dw__residual residual;
} dw__model;

/* Signed square root of one linear value to that of its reflectance: at least 0 where the value is. */
double dw__bend_root(const dw_curve *curve, double root);
/* One linear value to reflectance. */
double dw__bend_at(const dw_curve *curve, double value);
double dw__field_gain(const double field[2], const double place[2]);
/* Linear light of a sample or pixel: bent and relieved of the field. */
void dw__model_reflectance(const dw__model *model, const double rgb[3], const double place[2], double out[3]);
void dw__root_features(const double reflectance[3], double out[DW__FEATURES]);
/* Without the residual; place NULL: the card's middle. */
void dw__model_xyz(const dw__model *model, const double rgb[3], const double place[2], double out[3]);

void dw__residual_free(dw__residual *residual);
/* Covariance of the corrections at two places in Lab, 3 values each; 0 beyond its reach. */
double dw__residual_kernel(const double *a, const double *b);
/* Moves a Lab as the residual says; nothing where there is none. */
dw_lab dw__residual_at(const dw__residual *residual, dw_lab lab);
/* The whole model: working values at a place (NULL: the card's middle) to Lab. */
dw_lab dw__model_lab(const dw__model *model, const double rgb[3], const double place[2]);

#endif
