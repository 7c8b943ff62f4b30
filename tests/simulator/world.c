/* The simulator's physics: slab, surface, observer, and the hand that drops. */
#include <math.h>
#include <string.h>

#include "simulator/simulator_inner.h"

double sim__nm(int band) {
  return 380 + 5.0 * band;
}

double sim_uniform(sim_world *world) { /* splitmix64 (Steele, Lea, Flood 2014) */
  uint64_t z = (world->random += UINT64_C(0x9e3779b97f4a7c15));
  z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
  z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
  return (double)((z ^ (z >> 31)) >> 11) / 9007199254740992.0;
}

double sim_normal(sim_world *world) { /* Box and Muller 1958 */
  double u = 1 - sim_uniform(world), v = sim_uniform(world);
  return sqrt(-2 * log(u)) * cos(2 * 3.14159265358979323846 * v);
}

void sim_world_make(sim_world *world, uint64_t seed) {
  memset(world, 0, sizeof *world);
  world->random = seed * 7919 + 17;
  world->k1 = 0.04, world->k2 = 0.60;
  world->shot_noise = 0.006;
  sim__pigments(world);
  sim__camera_fit(world);
}

/* The exponential form of Kubelka and Munk 1931, with r the reflectance of an endless thickness and g the
 * backing's. */
static double slab_at(double k, double s, double thickness_mm, double g) {
  double ratio = k / s, r = 1 + ratio - sqrt(ratio * ratio + 2 * ratio);
  double e = exp(s * thickness_mm * (1 / r - r));
  return ((g - r) / r - r * (g - 1 / r) * e) / ((g - r) - (g - 1 / r) * e);
}

/* What a slab sees beneath it: the backing itself, or the backing behind air and the slab's lower face. */
static double backing_seen(const sim_world *world, double g) {
  double through_air = world->k2 + (1 - world->k1) * (1 - world->k2) * g / (1 - world->k1 * g);
  return g + world->chip_gap * (through_air - g);
}

void sim__slab(const sim_world *world, const double loading[SIM_BOTTLES], double thickness_mm, double backing,
               double out[SIM_BANDS]) {
  double g = backing_seen(world, backing);
  for (int b = 0; b < SIM_BANDS; b++) {
    double k = world->base.k[b], s = world->base.s[b];
    for (int i = 0; i < SIM_BOTTLES; i++) {
      k += loading[i] * world->strength[i] * world->bottle[i].k[b];
      s += loading[i] * world->strength[i] * world->bottle[i].s[b];
    }
    double inside = slab_at(k, s, thickness_mm, g);
    out[b] = (1 - world->k1) * (1 - world->k2) * inside / (1 - world->k2 * inside);
  }
}

void sim__xyz(const double reflectance[SIM_BANDS], double xyz[3]) {
  double white = 0;
  xyz[0] = xyz[1] = xyz[2] = 0;
  for (int b = 0; b < SIM_BANDS; b++) {
    double light = sim__d50[b];
    white += light * sim__ybar[b];
    xyz[0] += light * sim__xbar[b] * reflectance[b];
    xyz[1] += light * sim__ybar[b] * reflectance[b];
    xyz[2] += light * sim__zbar[b] * reflectance[b];
  }
  for (int j = 0; j < 3; j++) xyz[j] /= white;
}

static double lab_curve(double t) {
  return t > 216.0 / 24389 ? cbrt(t) : (24389.0 / 27 * t + 16) / 116;
}

sim_lab sim__lab(const double xyz[3]) {
  double x = lab_curve(xyz[0] / 0.9642), y = lab_curve(xyz[1]), z = lab_curve(xyz[2] / 0.8249);
  return (sim_lab){116 * y - 16, 500 * (x - y), 200 * (y - z)};
}

sim_lab sim_color(const sim_world *world, const double loading[SIM_BOTTLES], double thickness_mm,
                  double backing) {
  double reflectance[SIM_BANDS], xyz[3];
  sim__slab(world, loading, thickness_mm, backing, reflectance);
  sim__xyz(reflectance, xyz);
  return sim__lab(xyz);
}

/* The light's own color on top, by chance more or less. */
static void gloss_add(sim_world *world, double xyz[3]) {
  static const double white[3] = {0.9642, 1, 0.8249};
  double share = world->gloss * sim_uniform(world);
  for (int j = 0; j < 3; j++) xyz[j] += share * white[j];
}

sim_lab sim_photo(sim_world *world, const double loading[SIM_BOTTLES], double thickness_mm, double backing,
                  int shots) {
  double reflectance[SIM_BANDS];
  sim_lab mean = {0, 0, 0};
  sim__slab(world, loading, thickness_mm, backing, reflectance);
  for (int i = 0; i < shots; i++) {
    double exposure = 1 + world->shot_noise * sim_normal(world), channel[3], xyz[3];
    for (int j = 0; j < 3; j++) channel[j] = exposure * (1 + world->shot_noise * sim_normal(world));
    sim__camera_see(world, reflectance, channel, xyz);
    if (world->gloss > 0) gloss_add(world, xyz);
    sim_lab one = sim__lab(xyz);
    mean.L += one.L / shots, mean.a += one.a / shots, mean.b += one.b / shots;
  }
  return mean;
}

void sim_drops(sim_world *world, const double meant[SIM_BOTTLES], double share, double put[SIM_BOTTLES]) {
  for (int i = 0; i < SIM_BOTTLES; i++) put[i] = meant[i] * fmax(0, 1 + share * sim_normal(world));
}

void sim_recipe(sim_world *world, double loading[SIM_BOTTLES]) {
  int count = 2 + (int)(3 * sim_uniform(world));
  double total = exp(log(12) * sim_uniform(world)), sum = 0;
  memset(loading, 0, SIM_BOTTLES * sizeof *loading);
  for (int n = 0; n < count;) {
    int i = (int)(SIM_BOTTLES * sim_uniform(world));
    if (loading[i] > 0) continue;
    loading[i] = -log(1 - sim_uniform(world)) * (i == SIM_BLACK ? 0.3 : 1) + 0.05;
    sum += loading[i], n++;
  }
  for (int i = 0; i < SIM_BOTTLES; i++) loading[i] *= total / sum;
}
