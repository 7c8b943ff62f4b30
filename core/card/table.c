/* The fitted model as tables, so that whole regions cost a few nanoseconds a pixel.
 *
 * The tone curves become even steps in the square root of the value. The residual, smooth in Lab, becomes
 * ratios (XYZ moved + e) / (XYZ + e) at the nodes of a cube over the square roots of the reflectances, read
 * between its nodes by three linear steps; outside of the cube its surface goes on. */
#include "card/light.h"

#include <math.h>

#define TONE_MAX 1.125f /* sqrt of the value */
#define CUBE_MAX 1.1f   /* sqrt of reflectance */
#define RATIO_OFFSET 0.01f

static void ratio_at(const pt__model *model, const double root[3], float out[3]) {
  double reflectance[3], features[PT__FEATURES], xyz[3] = {0};
  for (int c = 0; c < 3; c++) reflectance[c] = root[c] * root[c];
  pt__root_features(reflectance, features);
  for (int f = 0; f < PT__FEATURES; f++)
    for (int o = 0; o < 3; o++) xyz[o] += features[f] * model->root[f][o];
  for (int o = 0; o < 3; o++) xyz[o] = fmax(xyz[o], 0.0);
  const pt_lab lab = pt__residual_at(&model->residual, pt_lab_from_xyz((pt_xyz){xyz[0], xyz[1], xyz[2]}));
  const pt_xyz moved = pt_xyz_from_lab(lab);
  const double to[3] = {moved.X, moved.Y, moved.Z};
  for (int o = 0; o < 3; o++) out[o] = (float)((to[o] + RATIO_OFFSET) / (xyz[o] + RATIO_OFFSET));
}

static void cube_make(const pt__model *model, pt__table *out) {
  const double step = CUBE_MAX / (PT__CUBE - 1);
  for (int i = 0; i < PT__CUBE; i++)
    for (int j = 0; j < PT__CUBE; j++)
      for (int k = 0; k < PT__CUBE; k++) {
        const double root[3] = {i * step, j * step, k * step};
        ratio_at(model, root, out->ratio[i][j][k]);
      }
}

void pt__table_make(const pt__model *model, pt__table *out) {
  for (int c = 0; c < 3; c++) {
    const pt_curve *curve = &model->curve[c];
    for (int i = 0; i <= PT__TONE_STEPS; i++)
      out->tone[c][i] = (float)pt_curve_at(curve, (double)TONE_MAX * i / PT__TONE_STEPS);
    out->over[c] = (float)(pt_curve_at(curve, TONE_MAX + 1.0) - pt_curve_at(curve, TONE_MAX));
    out->below[c] = (float)(pt_curve_at(curve, 0.0) - pt_curve_at(curve, -1.0));
  }
  for (int f = 0; f < PT__FEATURES; f++)
    for (int o = 0; o < 3; o++) out->root[f][o] = (float)model->root[f][o];
  for (int k = 0; k < 2; k++) out->field[k] = (float)model->field[k];
  out->moved = model->residual.n > 0;
  if (out->moved) cube_make(model, out);
}

static float tone_at(const pt__table *t, int c, float value) {
  const float root = value >= 0.0f ? sqrtf(value) : -sqrtf(-value);
  if (root < 0.0f) return t->tone[c][0] + t->below[c] * root;
  const float at = root * ((float)PT__TONE_STEPS / TONE_MAX);
  if (!(at < (float)PT__TONE_STEPS)) return t->tone[c][PT__TONE_STEPS] + t->over[c] * (root - TONE_MAX);
  const int i = (int)at;
  return t->tone[c][i] + (at - (float)i) * (t->tone[c][i + 1] - t->tone[c][i]);
}

static void cube_at(const pt__table *t, const float root[3], float out[3]) {
  int i[3];
  float w[3];
  for (int c = 0; c < 3; c++) {
    const float at = fminf(fmaxf(root[c], 0.0f), CUBE_MAX) * ((float)(PT__CUBE - 1) / CUBE_MAX);
    i[c] = at < (float)(PT__CUBE - 2) ? (int)at : PT__CUBE - 2;
    w[c] = at - (float)i[c];
  }
  for (int o = 0; o < 3; o++) out[o] = 0.0f;
  for (int corner = 0; corner < 8; corner++) {
    const int a = corner & 1, b = (corner >> 1) & 1, c = corner >> 2;
    const float share = (a ? w[0] : 1.0f - w[0]) * (b ? w[1] : 1.0f - w[1]) * (c ? w[2] : 1.0f - w[2]);
    const float *node = t->ratio[i[0] + a][i[1] + b][i[2] + c];
    for (int o = 0; o < 3; o++) out[o] += share * node[o];
  }
}

static void row_map(const pt__table *t, const float rgb[3], float dim, float xyz[3]) {
  float root[3], r[3], features[PT__FEATURES], ratio[3];
  for (int c = 0; c < 3; c++) {
    root[c] = dim * tone_at(t, c, rgb[c]);
    r[c] = fmaxf(root[c], 0.0f);
    features[c] = root[c] * fabsf(root[c]);
  }
  features[3] = r[0] * r[1];
  features[4] = r[1] * r[2];
  features[5] = r[0] * r[2];
  for (int o = 0; o < 3; o++) {
    xyz[o] = 0.0f;
    for (int f = 0; f < PT__FEATURES; f++) xyz[o] += features[f] * t->root[f][o];
  }
  if (!t->moved) return;
  cube_at(t, root, ratio);
  for (int o = 0; o < 3; o++) xyz[o] = (xyz[o] + RATIO_OFFSET) * ratio[o] - RATIO_OFFSET;
}

void pt__table_rows(const pt__table *table, const pt__board *board, const float *rgb, const float *x,
                    const float *y, size_t n, float *xyz) {
  const bool sloped = x != NULL && y != NULL && (table->field[0] != 0.0f || table->field[1] != 0.0f);
  for (size_t i = 0; i < n; i++) {
    float dim = 1.0f, out[3];
    if (sloped) {
      double place[2];
      pt__board_at(board, (double)x[i], (double)y[i], place);
      /* half of the exponent: the tables hold square roots of light */
      dim = expf(-0.5f * (table->field[0] * (float)place[0] + table->field[1] * (float)place[1]));
    }
    row_map(table, &rgb[3 * i], dim, out);
    for (int o = 0; o < 3; o++) xyz[3 * i + (size_t)o] = out[o];
  }
}
