/* The simulator's camera: three sensitivities unlike the observer's, corrected by a root-polynomial that was
 * fitted to 24 patches of its own.  What the correction leaves over is the camera's error. */
#include <math.h>
#include <string.h>

#include "simulator/simulator_inner.h"

enum { TERMS = 6, PATCHES = 24 };

static double bell_at(double nm, double peak, double below, double above) {
  double x = (nm - peak) / (nm < peak ? below : above);
  return exp(-x * x / 2);
}

static double sensitivity_at(int channel, double nm) {
  switch (channel) {
  case 0:
    return bell_at(nm, 598, 26, 36) + 0.06 * bell_at(nm, 520, 30, 20);
  case 1:
    return bell_at(nm, 532, 36, 40);
  default:
    return bell_at(nm, 458, 24, 30);
  }
}

/* Red, green, blue and the roots of their products (Finlayson, Mackiewicz, Hurlbert 2015, degree 2). */
static void terms_of(const double reflectance[SIM_BANDS], const double channel[3], double out[TERMS]) {
  double rgb[3] = {0, 0, 0}, white[3] = {0, 0, 0};
  for (int b = 0; b < SIM_BANDS; b++)
    for (int j = 0; j < 3; j++) {
      double weight = sensitivity_at(j, sim__nm(b)) * sim__d50[b];
      rgb[j] += weight * reflectance[b], white[j] += weight;
    }
  for (int j = 0; j < 3; j++) rgb[j] *= channel[j] / white[j];
  out[0] = rgb[0], out[1] = rgb[1], out[2] = rgb[2];
  out[3] = sqrt(rgb[0] * rgb[1]), out[4] = sqrt(rgb[1] * rgb[2]), out[5] = sqrt(rgb[2] * rgb[0]);
}

/* 18 colors (long-pass edges, bands, their complements) and 6 grays. */
static double patch_at(int patch, double nm) {
  if (patch >= 18) return 0.9 * pow(0.5, 1.0 * (patch - 18));
  double place = 420 + 44 * (patch / 3);
  switch (patch % 3) {
  case 0:
    return 0.05 + 0.6 / (1 + exp(-(nm - place) / 14));
  case 1:
    return 0.06 + 0.45 * bell_at(nm, place + 10, 36, 44);
  default:
    return 0.5 - 0.38 * bell_at(nm, place + 20, 40, 40);
  }
}

/* Solves M x = y for three right-hand sides by elimination with pivoting; M and y are used up. */
static void solve(double M[TERMS][TERMS], double y[TERMS][3]) {
  for (int c = 0; c < TERMS; c++) {
    int pivot = c;
    for (int r = c + 1; r < TERMS; r++)
      if (fabs(M[r][c]) > fabs(M[pivot][c])) pivot = r;
    for (int j = 0; j < TERMS; j++) {
      double swap = M[c][j];
      M[c][j] = M[pivot][j], M[pivot][j] = swap;
    }
    for (int j = 0; j < 3; j++) {
      double swap = y[c][j];
      y[c][j] = y[pivot][j], y[pivot][j] = swap;
    }
    for (int r = 0; r < TERMS; r++) {
      if (r == c) continue;
      double f = M[r][c] / M[c][c];
      for (int j = c; j < TERMS; j++) M[r][j] -= f * M[c][j];
      for (int j = 0; j < 3; j++) y[r][j] -= f * y[c][j];
    }
  }
  for (int c = 0; c < TERMS; c++)
    for (int j = 0; j < 3; j++) y[c][j] /= M[c][c];
}

void sim__camera_fit(sim_world *world) {
  double M[TERMS][TERMS], y[TERMS][3];
  static const double even[3] = {1, 1, 1};
  memset(M, 0, sizeof M), memset(y, 0, sizeof y);
  for (int p = 0; p < PATCHES; p++) {
    double reflectance[SIM_BANDS], t[TERMS], xyz[3];
    for (int b = 0; b < SIM_BANDS; b++) reflectance[b] = patch_at(p, sim__nm(b));
    terms_of(reflectance, even, t);
    sim__xyz(reflectance, xyz);
    double weight = 1 / (xyz[1] * xyz[1] + 0.001);
    for (int i = 0; i < TERMS; i++) {
      for (int j = 0; j < TERMS; j++) M[i][j] += weight * t[i] * t[j];
      for (int j = 0; j < 3; j++) y[i][j] += weight * t[i] * xyz[j];
    }
  }
  for (int i = 0; i < TERMS; i++) M[i][i] += 1e-4;
  solve(M, y);
  memcpy(world->camera_matrix, y, sizeof y);
}

void sim__camera_see(const sim_world *world, const double reflectance[SIM_BANDS], const double channel[3],
                     double xyz[3]) {
  double t[TERMS];
  terms_of(reflectance, channel, t);
  for (int j = 0; j < 3; j++) {
    xyz[j] = 0;
    for (int i = 0; i < TERMS; i++) xyz[j] += t[i] * world->camera_matrix[i][j];
    xyz[j] = fmax(xyz[j], 1e-5);
  }
}
