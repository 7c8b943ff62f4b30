/* The fitted model as tables, so that whole regions cost a few nanoseconds a pixel.
 *
 * The tone curves become even steps in the square root of the value. The residual, smooth in Lab, becomes
 * ratios (XYZ moved + e) / (XYZ + e) at the nodes of a cube over the square roots of the reflectances, read
 * between its nodes by three linear steps; outside of the cube its surface goes on. */
#include "card/light.h"
#include "card/sample.h"

#include <math.h>

#define TONE_MAX 1.125f /* sqrt of the value */
#define CUBE_MAX 1.1f   /* sqrt of reflectance */
#define RATIO_OFFSET 0.01f

static void ratio_at(const dw__model *model, const double root[3], float out[4]) {
  double reflectance[3], features[DW__FEATURES], xyz[3] = {0};
  for (int c = 0; c < 3; c++) reflectance[c] = root[c] * root[c];
  dw__root_features(reflectance, features);
  for (int f = 0; f < DW__FEATURES; f++)
    for (int o = 0; o < 3; o++) xyz[o] += features[f] * model->root[f][o];
  for (int o = 0; o < 3; o++) xyz[o] = fmax(xyz[o], 0.0);
  const dw_lab lab = dw__residual_at(&model->residual, dw_lab_from_xyz((dw_xyz){xyz[0], xyz[1], xyz[2]}));
  const dw_xyz moved = dw_xyz_from_lab(lab);
  const double to[3] = {moved.X, moved.Y, moved.Z};
  out[3] = 1.0f;
  for (int o = 0; o < 3; o++) out[o] = (float)((to[o] + RATIO_OFFSET) / (xyz[o] + RATIO_OFFSET));
}

static void cube_make(const dw__model *model, dw__table *out) {
  const double step = CUBE_MAX / (DW__CUBE - 1);
  for (int i = 0; i < DW__CUBE; i++)
    for (int j = 0; j < DW__CUBE; j++)
      for (int k = 0; k < DW__CUBE; k++) {
        const double root[3] = {i * step, j * step, k * step};
        ratio_at(model, root, out->ratio[i][j][k]);
      }
}

void dw__table_make(const dw__model *model, dw__table *out) {
  for (int c = 0; c < 3; c++) {
    for (int i = 0; i <= DW__TONE_STEPS; i++)
      out->tone[c][i] = (float)dw__bend_root(&model->curve[c], (double)TONE_MAX * i / DW__TONE_STEPS);
    out->below[c] = (float)(model->curve[c].slope[0] * (double)TONE_MAX / DW__TONE_STEPS);
  }
  for (int f = 0; f < DW__FEATURES; f++)
    for (int o = 0; o < 3; o++) out->root[f][o] = (float)model->root[f][o];
  for (int k = 0; k < 2; k++)
    for (int i = 0; i <= DW__SHADE_STEPS; i++) /* half of the exponent: roots are square roots of light */
      out->shade[k][i] =
          (float)exp(-0.5 * model->field[k] * DW__BOARD_REACH * (2.0 * i / DW__SHADE_STEPS - 1.0));
  out->sloped = model->field[0] != 0.0 || model->field[1] != 0.0;
  out->moved = model->residual.n > 0;
  if (out->moved) cube_make(model, out);
}

enum { BLOCK = 128 };
typedef struct block {
  float root[3][BLOCK]; /* working values, then square roots of reflectance */
  float dim[BLOCK];
  float xyz[3][BLOCK];
} block;

/* Between 0 and most; a NaN becomes 0, so that an index made of it is safe. */
static inline float bounded(float value, float most) {
  return value > 0.0f ? (value < most ? value : most) : 0.0f;
}

static void working_find(bool wide, const float *rgb, size_t n, block *b) {
  for (size_t i = 0; i < n; i++)
    for (size_t c = 0; c < 3; c++) b->root[c][i] = rgb[3 * i + c];
  for (size_t i = 0; i < n && wide; i++) {
    double value[3] = {(double)b->root[0][i], (double)b->root[1][i], (double)b->root[2][i]};
    dw__wide_from_linear(value, value);
    for (int c = 0; c < 3; c++) b->root[c][i] = (float)value[c];
  }
}

/* Goes on straight below and above the table. */
static void tones_find(const dw__table *t, size_t n, block *b) {
  for (int c = 0; c < 3; c++)
    for (size_t i = 0; i < n; i++) {
      const float value = b->root[c][i];
      const float at = copysignf(sqrtf(fabsf(value)), value) * ((float)DW__TONE_STEPS / TONE_MAX);
      const int k = (int)bounded(at, (float)(DW__TONE_STEPS - 1));
      const float step = at < 0.0f ? t->below[c] : t->tone[c][k + 1] - t->tone[c][k];
      b->root[c][i] = t->tone[c][k] + (at - (float)k) * step;
    }
}

static float shade_at(const float shade[DW__SHADE_STEPS + 1], float offset, float scale) {
  const float at = bounded(offset * scale + (float)DW__SHADE_STEPS / 2.0f, (float)DW__SHADE_STEPS);
  const int k = at < (float)(DW__SHADE_STEPS - 1) ? (int)at : DW__SHADE_STEPS - 1;
  return shade[k] + (at - (float)k) * (shade[k + 1] - shade[k]);
}

static void tones_dim(const dw__table *t, const dw__board *board, const float *x, const float *y, size_t n,
                      block *b) {
  const float scale = (float)(DW__SHADE_STEPS / (2.0 * DW__BOARD_REACH * board->side_px));
  const float x0 = (float)board->x, y0 = (float)board->y;
  for (size_t i = 0; i < n; i++)
    b->dim[i] = shade_at(t->shade[0], x[i] - x0, scale) * shade_at(t->shade[1], y[i] - y0, scale);
  for (int c = 0; c < 3; c++)
    for (size_t i = 0; i < n; i++) b->root[c][i] *= b->dim[i];
}

static void colors_mix(const dw__table *t, size_t n, block *b) {
  for (int o = 0; o < 3; o++)
    for (size_t i = 0; i < n; i++) {
      const float r = b->root[0][i], g = b->root[1][i], u = b->root[2][i];
      const float r0 = r > 0.0f ? r : 0.0f, g0 = g > 0.0f ? g : 0.0f, u0 = u > 0.0f ? u : 0.0f;
      b->xyz[o][i] = t->root[0][o] * r * fabsf(r) + t->root[1][o] * g * fabsf(g) +
                     t->root[2][o] * u * fabsf(u) + t->root[3][o] * r0 * g0 + t->root[4][o] * g0 * u0 +
                     t->root[5][o] * r0 * u0;
    }
}

static void ratio_find(const dw__table *t, float r, float g, float b, float out[4]) {
  const float scale = (float)(DW__CUBE - 1) / CUBE_MAX;
  const float at[3] = {bounded(r * scale, (float)(DW__CUBE - 1)), bounded(g * scale, (float)(DW__CUBE - 1)),
                       bounded(b * scale, (float)(DW__CUBE - 1))};
  int k[3];
  float w[3];
  for (int c = 0; c < 3; c++) {
    k[c] = at[c] < (float)(DW__CUBE - 2) ? (int)at[c] : DW__CUBE - 2;
    w[c] = at[c] - (float)k[c];
  }
  const float(*low)[DW__CUBE][4] = t->ratio[k[0]] + k[1], (*high)[DW__CUBE][4] = t->ratio[k[0] + 1] + k[1];
  for (int o = 0; o < 4; o++) {
    const float a = low[0][k[2]][o] + w[2] * (low[0][k[2] + 1][o] - low[0][k[2]][o]);
    const float c = low[1][k[2]][o] + w[2] * (low[1][k[2] + 1][o] - low[1][k[2]][o]);
    const float d = high[0][k[2]][o] + w[2] * (high[0][k[2] + 1][o] - high[0][k[2]][o]);
    const float e = high[1][k[2]][o] + w[2] * (high[1][k[2] + 1][o] - high[1][k[2]][o]);
    const float near = a + w[1] * (c - a), far = d + w[1] * (e - d);
    out[o] = near + w[0] * (far - near);
  }
}

static void colors_move(const dw__table *t, size_t n, block *b) {
  for (size_t i = 0; i < n; i++) {
    float ratio[4];
    ratio_find(t, b->root[0][i], b->root[1][i], b->root[2][i], ratio);
    for (int o = 0; o < 3; o++) b->xyz[o][i] = (b->xyz[o][i] + RATIO_OFFSET) * ratio[o] - RATIO_OFFSET;
  }
}

void dw__table_rows(const dw__table *table, const dw__board *board, bool wide, const float *rgb,
                    const float *x, const float *y, size_t n, float *xyz) {
  const bool sloped = table->sloped && x != NULL && y != NULL;
  block b;
  for (size_t done = 0; done < n; done += BLOCK) {
    const size_t count = n - done < BLOCK ? n - done : BLOCK;
    working_find(wide, rgb + 3 * done, count, &b);
    tones_find(table, count, &b);
    if (sloped) tones_dim(table, board, x + done, y + done, count, &b);
    colors_mix(table, count, &b);
    if (table->moved) colors_move(table, count, &b);
    for (size_t i = 0; i < count; i++)
      for (size_t o = 0; o < 3; o++) xyz[3 * (done + i) + o] = b.xyz[o][i];
  }
}
