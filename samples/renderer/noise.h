/* Repeatable chance: hashed values, smooth noise, and a stream of normal deviates. */
#ifndef RENDERER_NOISE_H
#define RENDERER_NOISE_H

#include <stdint.h>

double hash_unit(int32_t x, int32_t y, uint32_t seed);   /* 0..1 */
double noise_smooth(double x, double y, uint32_t seed);  /* -1..1, one bump per unit */
double noise_layered(double x, double y, uint32_t seed); /* -1..1, three octaves */
double step_smooth(double from, double to, double x);    /* 0..1 */

typedef struct chance {
  uint64_t state;
} chance;
double chance_unit(chance *c);   /* 0..1 */
double chance_normal(chance *c); /* mean 0, deviation 1 */

#endif
