/* The light as others use it: pixels and colors through it, its white, its doubt. */
#include "card/light.h"
#include "card/sample.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Patches within this Lab distance speak for a color; all others a little. */
#define NEAR 20.0
#define FAR_WEIGHT 0.05
/* Error against the patches' left-out errors, as the nearest patch recedes: fitted to 13,000 readings by
 * simulated phones, 0.65 beside a patch, 1.0 at 13, 1.2 at 25, 1.5 at 35 (docs/color-model.md#light). */
#define AT_PATCH 0.7
#define GROWTH 45.0
/* What a unit of L* beyond the darkest or lightest patch adds: from nearly black grays in the same simulation
 * (tests/card/test_phones.c). */
#define BEYOND_UNIT 0.14

dw_status dw__light_new(dw_light_method method, const char *text, dw_light **out, dw_error *err) {
  dw_light *light = calloc(1, sizeof *light);
  if (light == NULL) return dw_fail_memory(err, "the light");
  light->info.method = method;
  dw_copy_text(light->info.method_text, sizeof light->info.method_text, text);
  for (int c = 0; c < 3; c++) light->gain[c] = light->white[c] = 1.0;
  *out = light;
  return DW_OK;
}

void dw_light_free(dw_light *light) {
  if (light == NULL) return;
  dw__residual_free(&light->model.residual);
  free(light->table);
  free(light);
}

const dw_light_info *dw_light_info_get(const dw_light *light) {
  return &light->info;
}

void dw_light_xyz(const dw_light *light, const float *rgb, const float *x, const float *y, size_t n,
                  float *xyz) {
  if (light->info.method == DW_LIGHT_CARD) {
    dw__table_rows(light->table, &light->board, light->wide, rgb, x, y, n, xyz);
    return;
  }
  for (size_t i = 0; i < 3 * n; i++) xyz[i] = rgb[i] * (float)light->gain[i % 3];
  dw_xyz_from_linear_rows(xyz, n, xyz);
}

dw_lab dw_light_lab(const dw_light *light, const double rgb[3]) {
  if (light->info.method == DW_LIGHT_CARD) {
    double working[3] = {rgb[0], rgb[1], rgb[2]};
    if (light->wide) dw__wide_from_linear(rgb, working);
    return dw__model_lab(&light->model, working, NULL);
  }
  const double scaled[3] = {rgb[0] * light->gain[0], rgb[1] * light->gain[1], rgb[2] * light->gain[2]};
  return dw_lab_from_xyz(dw_xyz_from_linear(scaled));
}

void dw_light_white(const dw_light *light, double rgb[3]) {
  const double sum = light->white[0] + light->white[1] + light->white[2];
  for (int c = 0; c < 3; c++) rgb[c] = sum > 0.0 ? 3.0 * light->white[c] / sum : 1.0;
}

double dw_light_uncertainty(const dw_light *light, dw_lab at) {
  double sum = 0.0, weights = 0.0, nearest = INFINITY;
  if (light->info.method != DW_LIGHT_CARD) return light->info.uncertainty_de00;
  for (size_t i = 0; i < light->n; i++) {
    const double l = at.L - light->lab[i].L, a = at.a - light->lab[i].a, b = at.b - light->lab[i].b;
    const double square = l * l + a * a + b * b, w = exp(-square / (2.0 * NEAR * NEAR)) + FAR_WEIGHT;
    sum += w * light->left_out[i];
    weights += w;
    nearest = fmin(nearest, sqrt(square));
  }
  return hypot(sum / weights * (AT_PATCH + nearest / GROWTH), BEYOND_UNIT * dw_light_beyond(light, at.L));
}

double dw_light_beyond(const dw_light *light, double L) {
  double low = INFINITY, high = -INFINITY;
  if (light->info.method != DW_LIGHT_CARD) return fmax(L - 100.0, 0.0);
  for (size_t i = 0; i < light->n; i++) {
    low = fmin(low, light->lab[i].L);
    high = fmax(high, light->lab[i].L);
  }
  return L < low ? L - low : fmax(L - high, 0.0);
}
