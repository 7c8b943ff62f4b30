/* Spectra of the simulator's colorants: logistic edges, skewed Lorentz bands and power laws. */
#include <math.h>

#include "simulator/simulator_inner.h"

const char *const sim_bottle_names[SIM_BOTTLES] = {"yellow", "orange", "red",   "blue", "green",
                                                   "violet", "brown",  "white", "black"};

static double edge_at(double nm, double middle, double width) { /* high below the edge */
  return 1.0 / (1.0 + exp((nm - middle) / width));
}

static double band_at(double nm, double peak, double below, double above) { /* skewed Lorentz */
  double x = (nm - peak) / (nm < peak ? below : above);
  return 1.0 / (1.0 + x * x);
}

static double bell_at(double nm, double peak, double width) {
  double x = (nm - peak) / width;
  return exp(-x * x / 2);
}

/* Absorption of a colorant with peak near 1; d shifts its edges. */
static double absorption_at(int bottle, double nm, double d) {
  switch (bottle) {
  case SIM_YELLOW:
    return edge_at(nm, 507 + d, 9) * (0.75 + 0.25 * bell_at(nm, 440, 30)) + 0.002;
  case SIM_ORANGE:
    return edge_at(nm, 558 + d, 10) * (0.65 + 0.35 * bell_at(nm, 490, 40)) + 0.003;
  case SIM_RED:
    return edge_at(nm, 600 + d, 8) * (0.45 + 0.55 * bell_at(nm, 540, 45)) + 0.004;
  case SIM_BLUE:
    return 0.9 * band_at(nm, 618 + d, 45, 30) + 0.7 * band_at(nm, 700 + d, 28, 40) +
           0.25 * edge_at(nm, 400, 12) + 0.005;
  case SIM_GREEN:
    return 0.8 * edge_at(nm, 468 + d, 14) + 0.9 * band_at(nm, 655 + d, 38, 32) + 0.01;
  case SIM_VIOLET:
    return 0.8 * bell_at(nm, 538 + d, 24) + 0.9 * bell_at(nm, 580 + d, 17) + 0.2 * bell_at(nm, 500 + d, 22) +
           0.02;
  case SIM_BROWN:
    return 0.7 * edge_at(nm, 575 + d, 22) + 0.3 * pow(nm / 450, -3) + 0.05;
  case SIM_WHITE:
    return 0.06 * edge_at(nm, 404 + d / 3, 6) + 0.0015;
  default:
    return pow(nm / 550, -0.35);
  }
}

/* Scattering, 1 at 550 nm: a power law with a bump beside the edge, as dispersion makes it. */
static double scattering_at(double nm, double power, double bump_nm, double bump) {
  return pow(nm / 550, -power) * (1 + bump * bell_at(nm, bump_nm, 25));
}

void sim__pigments(sim_world *world) {
  static const double k_peak[SIM_BOTTLES] = {0.10, 0.09, 0.09, 0.11, 0.09, 0.07, 0.06, 0.05, 0.16};
  static const double s_level[SIM_BOTTLES] = {0.012, 0.010, 0.008, 0.003, 0.005, 0.003, 0.012, 0.060, 0.002};
  static const double bump_nm[SIM_BOTTLES] = {530, 585, 625, 480, 530, 640, 620, 430, 550};
  for (int b = 0; b < SIM_BANDS; b++) {
    double nm = sim__nm(b);
    world->base.k[b] = 0.0012 + 0.004 * edge_at(nm, 412, 15);
    world->base.s[b] = 0.0065 * pow(nm / 550, -1.2);
  }
  for (int i = 0; i < SIM_BOTTLES; i++) {
    double shift = 5 * sim_normal(world), k = k_peak[i] * exp(0.25 * sim_normal(world));
    double s = s_level[i] * exp(0.25 * sim_normal(world)), power = 0.4 + 1.4 * sim_uniform(world);
    double bump = 0.25 * sim_uniform(world);
    for (int b = 0; b < SIM_BANDS; b++) {
      world->bottle[i].k[b] = k * absorption_at(i, sim__nm(b), shift);
      world->bottle[i].s[b] = s * scattering_at(sim__nm(b), power, bump_nm[i] + shift, bump);
    }
    world->strength[i] = 1;
  }
}
