#include "camera.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plastic.h"

/* Sensitivities of a camera that never was: bells with tails, not a linear turn of the observer. */
static double sensitivity(int channel, double nm) {
  double filter = falling(nm, 668, 9) * (1 - falling(nm, 408, 6));
  switch (channel) {
  case 0:
    return filter * (0.95 * bell(nm, 602, 33) + 0.26 * bell(nm, 565, 28) + 0.035 * bell(nm, 445, 30) + 0.015);
  case 1:
    return filter * (1.00 * bell(nm, 533, 38) + 0.20 * bell(nm, 588, 36) + 0.045 * bell(nm, 462, 26) + 0.02);
  default:
    return filter * (0.90 * bell(nm, 458, 27) + 0.18 * bell(nm, 500, 26) + 0.02);
  }
}

void camera_signal(const camera *c, const spectrum *reflectance, double rgb[3]) {
  for (int k = 0; k < 3; k++) {
    rgb[k] = 0;
    for (int i = 0; i < BANDS; i++) rgb[k] += c->weight[k][i] * reflectance->v[i];
  }
}

/* Things a maker of cameras would photograph to choose the matrix: paints and plastics at random. */
static spectrum training_color(chance *c) {
  spectrum s;
  if (chance_unit(c) < 0.3) {
    recipe r = {{0}};
    for (int i = 0; i < 3; i++) {
      double drops = 0.3 + 6 * chance_unit(c);
      r.drops[(int)(chance_unit(c) * BOTTLES)] = drops;
    }
    plastic p = plastic_mix(&r);
    spectrum backing = spectrum_flat(0.6);
    return plastic_seen(&p, 4, &backing);
  }
  double level = 0.03 + 0.25 * chance_unit(c), edge = 430 + 230 * chance_unit(c);
  double width = 10 + 30 * chance_unit(c), rise = 0.6 * chance_unit(c), hump = 420 + 260 * chance_unit(c);
  double up = chance_unit(c) < 0.65 ? 1 : 0, hill = 0.35 * chance_unit(c), broad = 25 + 45 * chance_unit(c);
  for (int i = 0; i < BANDS; i++) {
    double fall = falling(band_nm(i), edge, width);
    s.v[i] = level + rise * (up > 0 ? 1 - fall : fall) + hill * bell(band_nm(i), hump, broad);
  }
  return s;
}

/* Solves the symmetric 3 x 3 system a x = b by elimination; a is positive definite here. */
static void solve3(double a[3][3], double b[3], double x[3]) {
  for (int i = 0; i < 3; i++)
    for (int r = i + 1; r < 3; r++) {
      double f = a[r][i] / a[i][i];
      for (int k = i; k < 3; k++) a[r][k] -= f * a[i][k];
      b[r] -= f * b[i];
    }
  for (int i = 2; i >= 0; i--) {
    x[i] = b[i];
    for (int k = i + 1; k < 3; k++) x[i] -= a[i][k] * x[k];
    x[i] /= a[i][i];
  }
}

/* Least squares from balanced signals to linear sRGB; white is held by its weight. Then a little more chroma,
 * as phones like it. */
static void fit_matrix(camera *c) {
  double normal[3][3] = {{0}}, right[3][3] = {{0}};
  chance dice = {20240u};
  for (int n = 0; n < 260; n++) {
    spectrum s = n ? training_color(&dice) : spectrum_flat(1);
    double signal[3], want[3], heavy = n ? 1 : 400;
    camera_signal(c, &s, signal);
    linear_srgb_of(xyz_of(&s), want);
    for (int i = 0; i < 3; i++)
      for (int k = 0; k < 3; k++) {
        normal[i][k] += heavy * signal[i] / c->white[i] * signal[k] / c->white[k];
        right[k][i] += heavy * signal[i] / c->white[i] * want[k];
      }
  }
  const double luma[3] = {0.2126, 0.7152, 0.0722}, boost = 1.07;
  double fitted[3][3];
  for (int k = 0; k < 3; k++) {
    double copy[3][3];
    memcpy(copy, normal, sizeof copy);
    solve3(copy, right[k], fitted[k]);
  }
  for (int k = 0; k < 3; k++)
    for (int i = 0; i < 3; i++) {
      double gray = luma[0] * fitted[0][i] + luma[1] * fitted[1][i] + luma[2] * fitted[2][i];
      c->matrix[3 * k + i] = boost * fitted[k][i] + (1 - boost) * gray;
    }
}

camera camera_make(light_kind light, double balance_share, double exposure, double electrons) {
  camera c = {.exposure = exposure, .electrons = electrons, .blur = 0.72, .sharpen = 0.45};
  spectrum power = light_power(light), one = spectrum_flat(1);
  double green = 0;
  for (int i = 0; i < BANDS; i++) green += sensitivity(1, band_nm(i)) * power.v[i];
  for (int k = 0; k < 3; k++)
    for (int i = 0; i < BANDS; i++) c.weight[k][i] = sensitivity(k, band_nm(i)) * power.v[i] / green;
  camera_signal(&c, &one, c.white);
  for (int k = 0; k < 3; k++) c.balance[k] = pow(c.white[k], -balance_share);
  /* A part left unbalanced is left against the window's light, not against the sensor's own zero. */
  spectrum window = light_power(LIGHT_DAYLIGHT);
  double day[3] = {0, 0, 0};
  for (int k = 0; k < 3; k++)
    for (int i = 0; i < BANDS; i++) day[k] += sensitivity(k, band_nm(i)) * window.v[i];
  for (int k = 0; k < 3; k++) c.balance[k] *= pow(day[1] / day[k], 1 - balance_share);
  fit_matrix(&c);
  return c;
}

/* Gaussian blur of planes interleaved by 3, through a second picture. */
static void blur(float *picture, float *spare, int width, int height, double sigma) {
  enum { REACH = 4 };
  double tap[2 * REACH + 1], sum = 0;
  for (int t = -REACH; t <= REACH; t++) sum += tap[t + REACH] = exp(-0.5 * t * t / (sigma * sigma));
  for (int t = 0; t <= 2 * REACH; t++) tap[t] /= sum;
  for (int pass = 0; pass < 2; pass++) {
    const float *from = pass ? spare : picture;
    float *to = pass ? picture : spare;
    for (int y = 0; y < height; y++)
      for (int x = 0; x < 3 * width; x++) {
        double v = 0;
        for (int t = -REACH; t <= REACH; t++) {
          int ax = pass ? x : x + 3 * t, ay = pass ? y + t : y;
          if (ax < 0 || ax >= 3 * width) ax = ax < 0 ? x % 3 : 3 * (width - 1) + x % 3;
          if (ay < 0 || ay >= height) ay = ay < 0 ? 0 : height - 1;
          v += tap[t + REACH] * from[(ptrdiff_t)ay * width * 3 + ax];
        }
        to[(ptrdiff_t)y * width * 3 + x] = (float)v;
      }
  }
}

/* sRGB's curve (IEC 61966-2-1), a soft shoulder before it and a slight S after it. */
static double tone(double linear) {
  double x = fmax(linear, 0);
  if (x > 0.78) x = 0.78 + 0.22 * (1 - exp(-(x - 0.78) / 0.22));
  double e = x <= 0.0031308 ? 12.92 * x : 1.055 * pow(x, 1 / 2.4) - 0.055;
  return e - 0.16 * sin(6.283185307179586 * e) / 6.283185307179586;
}

static void add_flare(float *signal, size_t pixels) {
  double mean[3] = {0, 0, 0};
  for (size_t i = 0; i < pixels * 3; i++) mean[i % 3] += signal[i];
  for (size_t i = 0; i < pixels * 3; i++)
    signal[i] = (float)(0.993 * signal[i] + 0.007 * mean[i % 3] / (double)pixels);
}

/* Photon and read noise, balance, matrix, tone. */
static void develop_pixel(const camera *c, float *px, chance *dice) {
  double s[3];
  for (int k = 0; k < 3; k++) {
    double deviation = sqrt(fmax(px[k], 0) / c->electrons + 1e-6);
    s[k] = (px[k] + deviation * chance_normal(dice)) * c->balance[k];
  }
  for (int k = 0; k < 3; k++) {
    double linear = c->matrix[3 * k] * s[0] + c->matrix[3 * k + 1] * s[1] + c->matrix[3 * k + 2] * s[2];
    px[k] = (float)tone(c->exposure * linear);
  }
}

int camera_develop(const camera *c, float *signal, int width, int height, uint32_t seed, uint8_t *out) {
  size_t pixels = (size_t)width * (size_t)height;
  float *spare = malloc(pixels * 3 * sizeof *spare), *soft = malloc(pixels * 3 * sizeof *soft);
  int failed = !spare || !soft;
  if (failed) goto done;
  blur(signal, spare, width, height, c->blur);
  add_flare(signal, pixels);
  chance dice = {(uint64_t)seed << 32};
  for (size_t i = 0; i < pixels; i++) develop_pixel(c, signal + 3 * i, &dice);
  memcpy(soft, signal, pixels * 3 * sizeof *soft);
  blur(soft, spare, width, height, 1.1);
  for (size_t i = 0; i < pixels * 3; i++) {
    double sharp = signal[i] + c->sharpen * (signal[i] - soft[i]);
    out[i] = (uint8_t)(fmin(fmax(sharp, 0), 1) * 255 + 0.5);
  }
done:
  free(soft);
  free(spare);
  return failed;
}
