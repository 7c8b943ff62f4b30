/* Batches of float rows. The work is laid out in flat blocks, so that compilers turn the inner loops into
 * vector code without being told how. */
#include "dropwise/color.h"

#include "color/curve.h"
#include "color/srgb.h"

#include <string.h>

enum { BLOCK = 64 };

/* Halley's step to the cube root. */
static inline float halley(float guess, float t) {
  const float cube = guess * guess * guess;
  return guess * (cube + 2.0f * t) / (2.0f * cube + t);
}

/* A first guess from the bits of the float (a third of the exponent, within 4%), one step (3e-5). The third is
 * taken in float because vector units divide no integers. */
static inline float cube_root_nearly(float t) {
  int32_t bits;
  float guess;
  /* -fanalyzer: it does not follow the caller's loop, which has filled t */
  memcpy(&bits, &t, sizeof bits);
  bits = (int32_t)((float)bits * (1.0f / 3.0f)) + 709921077;
  memcpy(&guess, &bits, sizeof guess);
  return halley(guess, t);
}

/* Cube root of t > 0: one more step in double (1e-13). In plain float alone 500 (fx - fy) would be off by 1e-4.
 */
static inline double cube_root(float t) {
  const double x = (double)cube_root_nearly(t), wide = (double)t, x3 = x * x * x;
  return x * (x3 + 2.0 * wide) / (2.0 * x3 + wide);
}

/* The CIELAB curve over n values: all roots in one loop without a branch, then the few dark values. */
static void lab_curves(const float *t, double *f, size_t n) {
  for (size_t i = 0; i < n; i++) f[i] = cube_root(t[i]);
  for (size_t i = 0; i < n; i++)
    if (!((double)t[i] > DW__LAB_KNEE)) f[i] = (DW__LAB_SLOPE * (double)t[i] + 16.0) / 116.0;
}

void dw_lab_from_xyz_rows(const float *xyz, size_t n, float *lab) {
  const float scale[3] = {(float)(1.0 / DW_D50_X), (float)(1.0 / DW_D50_Y), (float)(1.0 / DW_D50_Z)};
  float t[3 * BLOCK];
  double f[3 * BLOCK];
  for (size_t start = 0; start < n; start += BLOCK) {
    const size_t rows = n - start < BLOCK ? n - start : BLOCK;
    for (size_t i = 0; i < rows; i++)
      for (size_t k = 0; k < 3; k++) t[3 * i + k] = scale[k] * xyz[3 * (start + i) + k];
    lab_curves(t, f, 3 * rows);
    float *out = lab + 3 * start;
    for (size_t i = 0; i < rows; i++) {
      const double x = f[3 * i], y = f[3 * i + 1], z = f[3 * i + 2];
      out[3 * i] = (float)(116.0 * y - 16.0);
      out[3 * i + 1] = (float)(500.0 * (x - y));
      out[3 * i + 2] = (float)(200.0 * (y - z));
    }
  }
}

void dw_lab_from_linear_planes(float *const plane[3], size_t n) {
  static const double white[3] = {DW_D50_X, DW_D50_Y, DW_D50_Z};
  const float slope = (float)(DW__LAB_SLOPE / 116.0), knee = (float)DW__LAB_KNEE;
  float m[9];
  for (int i = 0; i < 9; i++) m[i] = (float)(dw__xyz_from_linear[i] / white[i / 3]);
  for (size_t start = 0; start < n; start += BLOCK) {
    const size_t many = n - start < BLOCK ? n - start : BLOCK;
    float *r = plane[0] + start, *g = plane[1] + start, *b = plane[2] + start, f[3][BLOCK];
    for (int k = 0; k < 3; k++)
      for (size_t i = 0; i < many; i++) {
        const float t = m[3 * k] * r[i] + m[3 * k + 1] * g[i] + m[3 * k + 2] * b[i];
        const float root = halley(cube_root_nearly(t), t), line = slope * t + 16.0f / 116.0f;
        f[k][i] = t > knee ? root : line;
      }
    for (size_t i = 0; i < many; i++) {
      r[i] = 116.0f * f[1][i] - 16.0f;
      g[i] = 500.0f * (f[0][i] - f[1][i]);
      b[i] = 200.0f * (f[1][i] - f[2][i]);
    }
  }
}

void dw_de00_rows(const float *from, const float *to, size_t n, float *de00) {
  for (size_t i = 0; i < n; i++) {
    const float *p = from + 3 * i, *q = to + 3 * i;
    de00[i] = (float)dw_de00((dw_lab){p[0], p[1], p[2]}, (dw_lab){q[0], q[1], q[2]});
  }
}

void dw_xyz_from_linear_rows(const float *rgb, size_t n, float *xyz) {
  float m[9];
  for (int i = 0; i < 9; i++) m[i] = (float)dw__xyz_from_linear[i];
  for (size_t i = 0; i < n; i++) {
    const float r = rgb[3 * i], g = rgb[3 * i + 1], b = rgb[3 * i + 2];
    for (size_t k = 0; k < 3; k++) xyz[3 * i + k] = m[3 * k] * r + m[3 * k + 1] * g + m[3 * k + 2] * b;
  }
}
