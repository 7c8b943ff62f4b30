/* The whole model of a card's photo, evaluated: bend, light slope, root-polynomial, residual. */
#include "card/model.h"

#include <math.h>
#include <stdlib.h>

/* In Lab units; chosen on a real card and on simulated phones (docs/color-model.md#light). */
#define REACH 100.0
#define DEVIATION 3.0

/* Where haze or lifted shadows bend the dark end, the straight line beyond black crosses zero above it, but
 * nothing reflects less than nothing. Values below zero are colors outside of the primaries: their sign
 * stays.
 */
double dw__bend_root(const dw_curve *curve, double root) {
  const double at = fmax(dw_curve_at(curve, fmax(root, 0.0)), 0.0);
  return root >= 0.0 ? at : at + curve->slope[0] * root;
}

double dw__bend_at(const dw_curve *curve, double value) {
  const double root = dw__bend_root(curve, dw__signed_root(value));
  return root * fabs(root);
}

double dw__field_gain(const double field[2], const double place[2]) {
  return exp(field[0] * place[0] + field[1] * place[1]);
}

void dw__root_features(const double reflectance[3], double out[DW__FEATURES]) {
  const double r = fmax(reflectance[0], 0.0), g = fmax(reflectance[1], 0.0), b = fmax(reflectance[2], 0.0);
  for (int c = 0; c < 3; c++) out[c] = reflectance[c];
  out[3] = sqrt(r * g);
  out[4] = sqrt(g * b);
  out[5] = sqrt(r * b);
}

void dw__model_reflectance(const dw__model *model, const double rgb[3], const double place[2],
                           double out[3]) {
  const double gain = place != NULL ? dw__field_gain(model->field, place) : 1.0;
  for (int c = 0; c < 3; c++) out[c] = dw__bend_at(&model->curve[c], rgb[c]) / gain;
}

void dw__model_xyz(const dw__model *model, const double rgb[3], const double place[2], double out[3]) {
  double reflectance[3], features[DW__FEATURES];
  dw__model_reflectance(model, rgb, place, reflectance);
  dw__root_features(reflectance, features);
  for (int o = 0; o < 3; o++) {
    out[o] = 0.0;
    for (int f = 0; f < DW__FEATURES; f++) out[o] += features[f] * model->root[f][o];
  }
}

void dw__residual_free(dw__residual *residual) {
  free(residual->center);
  *residual = (dw__residual){0};
}

double dw__residual_kernel(const double *a, const double *b) {
  const double x = a[0] - b[0], y = a[1] - b[1], z = a[2] - b[2], square = x * x + y * y + z * z;
  if (square >= REACH * REACH) return 0.0;
  const double r = sqrt(square) / REACH, near = (1.0 - r) * (1.0 - r);
  return DEVIATION * DEVIATION * near * near * (4.0 * r + 1.0);
}

dw_lab dw__residual_at(const dw__residual *residual, dw_lab lab) {
  const double at[3] = {lab.L, lab.a, lab.b};
  for (size_t i = 0; i < residual->n; i++) {
    const double k = dw__residual_kernel(at, &residual->center[3 * i]);
    lab.L += k * residual->pull[3 * i];
    lab.a += k * residual->pull[3 * i + 1];
    lab.b += k * residual->pull[3 * i + 2];
  }
  return lab;
}

dw_lab dw__model_lab(const dw__model *model, const double rgb[3], const double place[2]) {
  double xyz[3];
  dw__model_xyz(model, rgb, place, xyz);
  return dw__residual_at(&model->residual, dw_lab_from_xyz((dw_xyz){xyz[0], xyz[1], xyz[2]}));
}
