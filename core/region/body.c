#include "region/body.h"

#include "dropwise/color.h"
#include "dropwise/numeric.h"

#include <math.h>
#include <string.h>

/* Chi-square of 3 degrees of freedom: its median, its 99% point, and the scatter's loss when cut there
 * (0.99 / P(chi-square of 5 < 11.345)). */
#define CHI2_MEDIAN 2.366f
#define CHI2_99 11.345f
#define CUT_99_LOSS 1.037
/* How far off its line gloss or shadow may lie, as a squared share of its length: the light's color is known
 * only so well. */
#define LINE_SLACK 0.1f

#define SHADE_FLOOR 0.01

/* The half is settled when no variance changes by more than this share. */
#define SETTLED 1e-2

enum { MANY = 256 }; /* rows looked at together */

enum { CONCENTRATE_STEPS = 12, REWEIGHT_STEPS = 3 };

typedef struct moments {
  double mean[3], cov[6]; /* xx, xy, xz, yy, yz, zz */
} moments;

/* Which of some rows lie within the cut: half of them do, so that no branch would be foreseen. */
static size_t rows_within(const float *distance, size_t from, size_t end, float cut, size_t *out) {
  size_t n = 0;
  for (size_t i = from; i < end; i++) {
    out[n] = i;
    n += (size_t)!(distance[i] > cut);
  }
  return n;
}

/* Mean and scatter of the rows whose distance is within the cut. */
static moments moments_within(const float *rgb, const float *distance, size_t n, float cut) {
  double count = 0, sum[3] = {0}, square[6] = {0}, origin[3] = {0};
  moments out = {{0}, {0}};
  size_t row_in[MANY], n_in;
  for (size_t from = 0; from < n; from += MANY) {
    n_in = rows_within(distance, from, n < from + MANY ? n : from + MANY, cut, row_in);
    if (count == 0 && n_in > 0)
      for (size_t k = 0; k < 3; k++) origin[k] = (double)rgb[3 * row_in[0] + k];
    for (size_t i = 0; i < n_in; i++) {
      const float *at = rgb + 3 * row_in[i];
      double r = (double)at[0] - origin[0], g = (double)at[1] - origin[1], b = (double)at[2] - origin[2];
      sum[0] += r, sum[1] += g, sum[2] += b;
      square[0] += r * r, square[1] += r * g, square[2] += r * b;
      square[3] += g * g, square[4] += g * b, square[5] += b * b;
    }
    count += (double)n_in;
  }
  static const int row[6] = {0, 0, 0, 1, 1, 2}, column[6] = {0, 1, 2, 1, 2, 2};
  for (int k = 0; k < 3; k++) out.mean[k] = origin[k] + sum[k] / count;
  for (int k = 0; k < 6; k++) out.cov[k] = (square[k] - sum[row[k]] * sum[column[k]] / count) / count;
  return out;
}

/* Rounding to 8 bits gives every color some scatter, though a flat patch shows none; and light is never so
 * even that a part in a hundred of it means anything. */
static void scatter_floor(moments *m) {
  static const int diagonal[3] = {0, 3, 5}, row[6] = {0, 0, 0, 1, 1, 2}, column[6] = {0, 1, 2, 1, 2, 2};
  for (int k = 0; k < 6; k++) m->cov[k] += SHADE_FLOOR * SHADE_FLOOR * m->mean[row[k]] * m->mean[column[k]];
  for (int k = 0; k < 3; k++) {
    double code = dw_srgb_encode(fmax(m->mean[k], 0));
    double step = dw_srgb_decode(code + 1.0 / 255) - dw_srgb_decode(code);
    m->cov[diagonal[k]] += step * step / 12;
  }
}

static void inverse_times(const float a[6], const double v[3], float out[3]) {
  float x = (float)v[0], y = (float)v[1], z = (float)v[2];
  out[0] = a[0] * x + a[1] * y + a[2] * z;
  out[1] = a[1] * x + a[3] * y + a[4] * z;
  out[2] = a[2] * x + a[4] * y + a[5] * z;
}

static float product(const float a[3], const double b[3]) {
  return a[0] * (float)b[0] + a[1] * (float)b[1] + a[2] * (float)b[2];
}

static dw_status body_from(const moments *m, double scale, const double white[3], dw__body *out,
                           dw_error *err) {
  const double *c = m->cov;
  double full[9] = {c[0], c[1], c[2], c[1], c[3], c[4], c[2], c[4], c[5]};
  double inverse[9] = {1, 0, 0, 0, 1, 0, 0, 0, 1};
  for (int k = 0; k < 9; k++) full[k] *= scale;
  dw_status status = dw_cholesky(full, 3, err);
  if (status != DW_OK)
    return dw_fail(err, DW_INTERNAL, "The scatter of the marked area's pixels could not be inverted.");
  dw_cholesky_solve(full, 3, inverse, 3);
  static const int upper[6] = {0, 1, 2, 4, 5, 8};
  for (int k = 0; k < 6; k++) out->inverse[k] = (float)inverse[upper[k]];
  for (int k = 0; k < 3; k++) out->center[k] = (float)m->mean[k];
  inverse_times(out->inverse, white, out->to_white);
  inverse_times(out->inverse, m->mean, out->to_center);
  out->white_white = product(out->to_white, white);
  out->white_center = product(out->to_white, m->mean);
  out->center_center = product(out->to_center, m->mean);
  return DW_OK;
}

/* Where the search begins: each channel's median, and its spread about it. */
static moments start_from(const float *rgb, size_t n, float *work) {
  static const int diagonal[3] = {0, 3, 5};
  moments out = {{0}, {0}};
  for (size_t k = 0; k < 3; k++) {
    for (size_t i = 0; i < n; i++) work[i] = rgb[3 * i + k];
    float mid = dw_median_f(work, n);
    for (size_t i = 0; i < n; i++) work[i] = fabsf(rgb[3 * i + k] - mid);
    double sigma = 1.4826 * (double)dw_median_f(work, n);
    out.mean[k] = (double)mid;
    out.cov[diagonal[k]] = sigma * sigma;
  }
  return out;
}

static void distances(const dw__body *body, const float *rgb, size_t n, float *out) {
  for (size_t i = 0; i < n; i++) out[i] = dw__body_distance(body, rgb + 3 * i);
}

static float median_of(const float *distance, size_t n, float *work) {
  memcpy(work, distance, n * sizeof *work);
  return dw_median_f(work, n);
}

static bool settled(const moments *before, const moments *now) {
  static const int diagonal[3] = {0, 3, 5};
  for (int k = 0; k < 3; k++)
    if (fabs(now->cov[diagonal[k]] - before->cov[diagonal[k]]) > SETTLED * before->cov[diagonal[k]])
      return false;
  return true;
}

/* Minimum covariance determinant with half the rows (Rousseeuw and Van Driessen, Technometrics 41 (1999)
 * 212): each step refits to the half nearest the last fit. */
static dw_status half_find(const float *rgb, size_t n, const double white[3], float *work, moments *m,
                           dw_error *err) {
  dw__body body;
  bool rests = false;
  *m = start_from(rgb, n, work);
  for (int step = 0; step < CONCENTRATE_STEPS && !rests; step++) {
    scatter_floor(m);
    dw_status status = body_from(m, 1, white, &body, err);
    if (status != DW_OK) return status;
    distances(&body, rgb, n, work);
    moments next = moments_within(rgb, work, n, median_of(work, n, work + n));
    rests = settled(m, &next);
    *m = next;
  }
  return DW_OK;
}

/* The half, then the fit is widened to all rows that belong to it, for the precision that
 * the half alone lacks. */
dw_status dw__body_fit(const float *rgb, size_t n, const double white[3], float *work, dw__body *out,
                       dw_error *err) {
  moments m;
  dw_status status = half_find(rgb, n, white, work, &m, err);
  if (status != DW_OK) return status;
  float cut = CHI2_99;
  double scale = 1;
  for (int step = 0; step < REWEIGHT_STEPS; step++) {
    scatter_floor(&m);
    status = body_from(&m, scale, white, out, err);
    if (status != DW_OK) return status;
    distances(out, rgb, n, work);
    if (step == 0) cut = fmaxf(median_of(work, n, work + n) / CHI2_MEDIAN, 1e-6f) * CHI2_99;
    m = moments_within(rgb, work, n, cut);
    cut = CHI2_99, scale = CUT_99_LOSS;
  }
  scatter_floor(&m);
  return body_from(&m, scale, white, out, err);
}

dw_pixel_class dw__body_class(const dw__body *body, const float rgb[3]) {
  float d2 = dw__body_distance(body, rgb);
  if (d2 <= DW__BODY_WITHIN) return DW_PIXEL_KEPT;
  float white = 0, shade = 0, slack = DW__BODY_WITHIN + LINE_SLACK * d2;
  for (int k = 0; k < 3; k++) {
    white += (rgb[k] - body->center[k]) * body->to_white[k];
    shade += (rgb[k] - body->center[k]) * body->to_center[k];
  }
  float ww = body->white_white, wc = body->white_center, cc = body->center_center;
  if (white > 0 && d2 - white * white / ww <= slack) return DW_PIXEL_GLOSS;
  if (shade < 0 && d2 - shade * shade / cc <= slack) return DW_PIXEL_SHADOW;
  float det = ww * cc - wc * wc; /* 0 for a gray body, where both directions are one */
  if (det <= 1e-3f * ww * cc) return DW_PIXEL_FLAKE;
  float gloss = (white * cc - shade * wc) / det, lit = (shade * ww - white * wc) / det;
  bool explained = d2 - gloss * white - lit * shade <= slack;
  return explained && gloss > 0 && lit > -0.9f && lit < 0.5f ? DW_PIXEL_GLOSS : DW_PIXEL_FLAKE;
}
