#include "card/phone.h"

#include "dropwise/card.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DATA DW_SOURCE_DIR "/../shared/data/"

static double wave_nm(size_t i) {
  return 400.0 + 5.0 * (double)i;
}

/* Column of a CSV whose first column is nm, at wavelength nm (all the files hold multiples of 5). */
static bool column_read(const dw_csv *csv, int column, double *out, size_t stride) {
  size_t next = 0;
  for (size_t row = 0; row < dw_csv_rows(csv) && next < WAVES; row++) {
    double nm, value;
    if (dw_csv_number(csv, row, 0, &nm, NULL) != DW_OK) return false;
    if (fabs(nm - wave_nm(next)) > 0.01) continue;
    if (dw_csv_number(csv, row, column, &value, NULL) != DW_OK) return false;
    out[stride * next++] = value;
  }
  return next == WAVES;
}

static bool table_read(const char *name, size_t columns, double *out, size_t wave_stride,
                       size_t column_stride) {
  char path[512], *text = NULL;
  size_t n = 0;
  dw_csv *csv = NULL;
  bool good = true;
  snprintf(path, sizeof path, "%s%s", DATA, name);
  if (dw_file_read(path, 1u << 22, &text, &n, NULL) != DW_OK) return false;
  good = dw_csv_parse(text, n, name, &csv, NULL) == DW_OK;
  for (size_t c = 0; c < columns && good; c++)
    good = column_read(csv, (int)c + 1, out + c * column_stride, wave_stride);
  dw_csv_free(csv);
  free(text);
  return good;
}

bool lab_bench_load(lab_bench *b) {
  double d50[WAVES], sum[3] = {0};
  const double white[3] = {DW_D50_X, DW_D50_Y, DW_D50_Z};
  bool good = table_read("cie/cie1931_2deg_1nm.csv", 3, &b->observer[0][0], 3, 1) &&
              table_read("cie/d50_5nm.csv", 1, d50, 1, 1) &&
              table_read("cie/d65_5nm.csv", 1, b->daylight, 1, 1) &&
              table_read("cameras/reflectances_190.csv", SPECTRA, &b->spectra[0][0], 1, WAVES);
  for (size_t k = 0; k < CAMERAS && good; k++) {
    char name[40];
    snprintf(name, sizeof name, "cameras/camera_%zu.csv", k + 1);
    good = table_read(name, 3, &b->camera[k][0][0], 3, 1);
  }
  if (!good) return false;
  for (size_t i = 0; i < WAVES; i++)
    for (size_t c = 0; c < 3; c++) sum[c] += b->observer[i][c] *= d50[i];
  for (size_t i = 0; i < WAVES; i++)
    for (size_t c = 0; c < 3; c++) b->observer[i][c] *= white[c] / sum[c];
  return true;
}

static void spectrum_sum(const double *weights, const double spectrum[WAVES], double out[3]) {
  out[0] = out[1] = out[2] = 0.0;
  for (size_t i = 0; i < WAVES; i++)
    for (size_t c = 0; c < 3; c++) out[c] += weights[3 * i + c] * spectrum[i];
}

dw_lab spectrum_lab(const lab_bench *bench, const double spectrum[WAVES]) {
  double xyz[3];
  spectrum_sum(&bench->observer[0][0], spectrum, xyz);
  return dw_lab_from_xyz((dw_xyz){xyz[0], xyz[1], xyz[2]});
}

/* The eight measured spectra nearest a color. */
enum { NEAREST = 8 };
static void nearest_find(const lab_bench *b, dw_lab lab, size_t out[NEAREST]) {
  double far[SPECTRA];
  for (size_t i = 0; i < SPECTRA; i++) far[i] = dw_de00(spectrum_lab(b, b->spectra[i]), lab);
  for (size_t k = 0; k < NEAREST; k++) {
    size_t best = 0;
    for (size_t i = 1; i < SPECTRA; i++)
      if (far[i] < far[best]) best = i;
    out[k] = best;
    far[best] = INFINITY;
  }
}

static void spectrum_mix(const double *a, const double *b, double share, double scale, double out[WAVES]) {
  for (size_t i = 0; i < WAVES; i++) {
    const double value = scale * exp(share * log(fmax(a[i], 0.004)) + (1.0 - share) * log(fmax(b[i], 0.004)));
    out[i] = fmin(fmax(value, 0.003), 0.95);
  }
}

static void spectrum_match(const lab_bench *b, dw_lab lab, double out[WAVES], bool used[SPECTRA]) {
  static const double shares[] = {-0.3, 0.0, 0.25, 0.5, 1.3}, scales[] = {0.8, 0.9, 1.0, 1.1, 1.25};
  size_t near[NEAREST], kept[2] = {0, 0};
  double best = INFINITY, trial[WAVES];
  nearest_find(b, lab, near);
  for (size_t i = 0; i < NEAREST * NEAREST; i++)
    for (size_t k = 0; k < 25; k++) {
      const size_t one = near[i / NEAREST], two = near[i % NEAREST];
      spectrum_mix(b->spectra[one], b->spectra[two], shares[k / 5], scales[k % 5], trial);
      const double error = dw_de00(spectrum_lab(b, trial), lab);
      if (error >= best) continue;
      best = error;
      memcpy(out, trial, sizeof trial);
      kept[0] = one;
      kept[1] = two;
    }
  used[kept[0]] = used[kept[1]] = true;
}

void spectra_card(const lab_bench *bench, double out[24][WAVES], bool used[SPECTRA]) {
  const dw_lab *lab = dw_card_named("grid24")->lab;
  for (size_t i = 0; i < 24; i++) {
    if (i < 18) {
      spectrum_match(bench, lab[i], out[i], used);
      continue;
    }
    for (size_t k = 0; k < WAVES; k++) /* grays are not quite flat: 2% from end to end, up and down in turn */
      out[i][k] = dw_xyz_from_lab(lab[i]).Y * (1.0 + (i % 2 ? 0.02 : -0.02) * (wave_nm(k) - 550.0) / 150.0);
  }
}

/* Relative power of a lamp. The LED is a blue pump and a phosphor, of our own making. */
static double lamp_power(const lab_bench *b, lamp light, size_t i) {
  const double nm = wave_nm(i);
  if (light == LAMP_DAYLIGHT) return b->daylight[i];
  if (light == LAMP_LED)
    return exp(-pow((nm - 450.0) / 11.0, 2.0) / 2.0) + 0.85 * exp(-pow((nm - 575.0) / 52.0, 2.0) / 2.0);
  return pow(nm / 560.0, -5.0) / (exp(1.4388e7 / (nm * 2856.0)) - 1.0); /* CIE illuminant A, CIE 15 */
}

/* The phone maker's matrix: raw to linear sRGB over the measured spectra, white kept white, weakened. */
static void matrix_make(const lab_bench *b, phone *p) {
  static double raw[SPECTRA * 3], linear[SPECTRA * 3];
  double fit[9], weak = 0.6 + 0.4 * dw_random_uniform(&p->random);
  for (size_t s = 0; s < SPECTRA; s++) {
    double xyz[3], *row = &raw[3 * s], *aim = &linear[3 * s];
    spectrum_sum(&p->response[0][0], b->spectra[s], row);
    spectrum_sum(&b->observer[0][0], b->spectra[s], xyz);
    dw_linear_from_xyz((dw_xyz){xyz[0], xyz[1], xyz[2]}, aim);
    const double weight = 1.0 / (0.1 + (aim[0] + aim[1] + aim[2]) / 3.0);
    for (size_t c = 0; c < 3; c++) {
      row[c] *= weight;
      aim[c] *= weight;
    }
  }
  if (dw_least_squares(raw, linear, SPECTRA, 3, 3, fit, NULL) != DW_OK) abort();
  for (size_t o = 0; o < 3; o++) {
    const double sum = fit[o] + fit[3 + o] + fit[6 + o];
    for (size_t c = 0; c < 3; c++)
      p->matrix[3 * o + c] = weak * fit[3 * c + o] / sum + (o == c ? 1.0 - weak : 0.0);
  }
}

static double between(dw_random *random, double low, double high) {
  return low + (high - low) * dw_random_uniform(random);
}

void phone_make(const lab_bench *b, size_t camera, lamp light, phone_kind kind, uint64_t seed, phone *p) {
  double sum[3] = {0};
  memset(p, 0, sizeof *p);
  p->random = dw_random_seed(seed);
  for (size_t i = 0; i < WAVES; i++)
    for (size_t c = 0; c < 3; c++)
      sum[c] += p->response[i][c] = b->camera[camera][i][c] * lamp_power(b, light, i);
  for (size_t i = 0; i < WAVES; i++)
    for (size_t c = 0; c < 3; c++) p->response[i][c] /= sum[c];
  matrix_make(b, p);
  for (size_t c = 0; c < 3; c++) p->balance[c] = 1.0 + 0.04 * dw_random_normal(&p->random);
  p->exposure = between(&p->random, 0.6, 0.8);
  p->flare = between(&p->random, 0.0, 0.008);
  p->contrast = kind == PHONE_VIVID ? between(&p->random, 0.3, 1.0) : between(&p->random, 0.1, 0.6);
  p->saturation = kind == PHONE_VIVID ? between(&p->random, 1.05, 1.3) : 1.0;
  for (size_t i = 0; i < 9; i++)
    p->twist[i] = kind == PHONE_VIVID ? 0.04 * dw_random_normal(&p->random) : 0.0;
}

/* S-shaped curve, then saturation and a twist of hue that grows with chroma, all in the encoded values. */
static void phone_render(const phone *p, double rgb[3]) {
  double luma, chroma[3], reach;
  for (size_t c = 0; c < 3; c++) {
    const double e = fmin(dw_srgb_encode(fmax(rgb[c], 0.0)), 1.2), low = fmin(e, 1.0);
    rgb[c] = e + 1.2 * p->contrast * e * (1.0 - low) * (low - 0.45);
  }
  luma = 0.299 * rgb[0] + 0.587 * rgb[1] + 0.114 * rgb[2];
  for (size_t c = 0; c < 3; c++) chroma[c] = p->saturation * (rgb[c] - luma);
  reach = 2.0 * hypot(chroma[0], chroma[2]);
  for (size_t c = 0; c < 3; c++) {
    const double *t = &p->twist[3 * c];
    rgb[c] = luma + chroma[c] + reach * (t[0] * chroma[0] + t[1] * chroma[1] + t[2] * chroma[2]);
  }
}

static void phone_encode(const phone *p, const double spectrum[WAVES], double gain, double rgb[3]) {
  double raw[3];
  spectrum_sum(&p->response[0][0], spectrum, raw);
  for (size_t c = 0; c < 3; c++) raw[c] = raw[c] * gain * p->balance[c] + p->flare;
  for (size_t c = 0; c < 3; c++) {
    const double *m = &p->matrix[3 * c];
    rgb[c] = p->exposure * (m[0] * raw[0] + m[1] * raw[1] + m[2] * raw[2]);
  }
  phone_render(p, rgb);
}

static void phone_sample(phone *p, const double encoded[3], double rgb[3]) {
  for (size_t c = 0; c < 3; c++) {
    const double noisy = encoded[c] + 0.012 * dw_random_normal(&p->random);
    rgb[c] = dw_srgb_decode(round(255.0 * fmin(fmax(noisy, 0.0), 1.0)) / 255.0);
  }
}

void phone_see(phone *p, const double spectrum[WAVES], double gain, double rgb[3]) {
  double encoded[3];
  phone_encode(p, spectrum, gain, encoded);
  phone_sample(p, encoded, rgb);
}

void phone_see_mean(phone *p, const double spectrum[WAVES], double gain, size_t n, double rgb[3]) {
  double encoded[3], one[3];
  phone_encode(p, spectrum, gain, encoded);
  rgb[0] = rgb[1] = rgb[2] = 0.0;
  for (size_t i = 0; i < n; i++) {
    phone_sample(p, encoded, one);
    for (size_t c = 0; c < 3; c++) rgb[c] += one[c] / (double)n;
  }
}
