#include "noise.h"

#include <math.h>

static uint64_t scramble(uint64_t z) { /* splitmix64, Steele, Lea, Flood 2014 */
  z += 0x9e3779b97f4a7c15u;
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
  return z ^ (z >> 31);
}

static double unit_of(uint64_t bits) {
  return (double)(bits >> 11) / 9007199254740992.0;
}

double hash_unit(int32_t x, int32_t y, uint32_t seed) {
  uint64_t key = ((uint64_t)(uint32_t)x << 32) | (uint32_t)y;
  return unit_of(scramble(key ^ scramble(seed)));
}

double step_smooth(double from, double to, double x) {
  double t = fmin(fmax((x - from) / (to - from), 0), 1);
  return t * t * (3 - 2 * t);
}

double noise_smooth(double x, double y, uint32_t seed) {
  int32_t ix = (int32_t)floor(x), iy = (int32_t)floor(y);
  double fx = step_smooth(0, 1, x - ix), fy = step_smooth(0, 1, y - iy);
  double low = hash_unit(ix, iy, seed) * (1 - fx) + hash_unit(ix + 1, iy, seed) * fx;
  double high = hash_unit(ix, iy + 1, seed) * (1 - fx) + hash_unit(ix + 1, iy + 1, seed) * fx;
  return 2 * (low * (1 - fy) + high * fy) - 1;
}

double noise_layered(double x, double y, uint32_t seed) {
  return (noise_smooth(x, y, seed) + 0.5 * noise_smooth(2 * x, 2 * y, seed + 1) +
          0.25 * noise_smooth(4 * x, 4 * y, seed + 2)) /
         1.75;
}

double chance_unit(chance *c) {
  c->state += 1;
  return unit_of(scramble(c->state));
}

double chance_normal(chance *c) { /* Box and Muller 1958 */
  double radius = sqrt(-2 * log(1 - chance_unit(c)));
  return radius * cos(6.283185307179586 * chance_unit(c));
}
